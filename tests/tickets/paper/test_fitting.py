"""Texts in boxes: never wider than the box, never smaller than can be read, never cut without an ellipsis."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickets.paper import load_fonts
from tickets.paper.fitting import ELLIPSIS, MM_A_POINT, Box, Setting, fit, wrap
from tickets.paper.fonts import BOLD, PLAIN, Style

FONTS = load_fonts()
WORDS = st.text("abc DE-F/_ Жé ش ษน東京 ", max_size=120)
SETTING = Setting(14, 6, BOLD)


def widths_mm(fitted_size: float, lines: tuple[object, ...]) -> list[float]:
    """How wide lines are at a size in points."""
    return [line.width * fitted_size * MM_A_POINT for line in lines]  # type: ignore[attr-defined]


@settings(max_examples=80, deadline=None)
@given(WORDS, st.floats(12, 80), st.floats(4, 30), st.integers(1, 6))
def test_a_text_stays_in_its_box(text: str, width: float, height: float, most_lines: int) -> None:
    """Lines are no wider than the box, no more than allowed, no smaller than asked."""
    setting = Setting(14, 6, PLAIN, most_lines)
    fitted = fit(text, Box(0, 0, width, height), setting, FONTS)
    assert setting.least <= fitted.size <= setting.size
    assert len(fitted.lines) <= most_lines
    for line, said in zip(fitted.lines, fitted.texts, strict=True):
        # Spaces between words are kerned once more when the line is shaped whole.
        assert line.width * fitted.size * MM_A_POINT <= width * 1.02 + 0.3 or len(said) <= 2
    if len(fitted.lines) > 1:
        assert fitted.height_mm <= height + 0.02


@settings(max_examples=80, deadline=None)
@given(WORDS, st.floats(12, 80), st.floats(4, 30))
def test_nothing_is_lost_unless_an_ellipsis_says_so(text: str, width: float, height: float) -> None:
    """All characters but spaces are there in their order; if not, what is there ends in an ellipsis."""
    fitted = fit(text, Box(0, 0, width, height), SETTING, FONTS)
    printed, wanted = "".join("".join(fitted.texts).split()), "".join(text.split())
    if fitted.was_cut:
        assert printed.endswith(ELLIPSIS)
        assert wanted.startswith(printed.removesuffix(ELLIPSIS))
        assert len(printed) <= len(wanted) + 1
    else:
        assert printed == wanted


def test_a_text_shrinks_before_it_wraps_into_small_print_and_is_cut_last() -> None:
    """The longer the text, the narrower, then the smaller and on more lines, and only in the end cut."""
    box = Box(0, 0, 40, 10)
    fits = [fit("Otter Bank Club " * n, box, SETTING, FONTS) for n in (1, 2, 4, 8, 40)]
    sizes = [f.size for f in fits]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] == SETTING.size
    assert [f.was_cut for f in fits] == [False, False, False, False, True]
    assert len(fits[0].lines) <= len(fits[2].lines)


def test_a_long_word_is_kept_whole_while_that_is_possible() -> None:
    """A word is broken only when it doesn't fit at the least size either."""
    name = "final-version_of_the_crest"
    assert fit("Brackenmere", Box(0, 0, 30, 8), SETTING, FONTS).texts == ("Brackenmere",)
    assert "".join(fit(name, Box(0, 0, 30, 12), SETTING, FONTS).texts) == name
    endless = fit("x" * 60, Box(0, 0, 30, 20), SETTING, FONTS)
    assert "".join(endless.texts) == "x" * 60
    assert len(endless.texts) > 1


def test_lines_may_end_where_a_script_allows() -> None:
    """Behind hyphens, between ideographs, but not before a closing mark nor behind a leading vowel."""
    em = Style()
    assert wrap("left-chest", 4.2, em, FONTS, False) == ["left-", "chest"]
    assert wrap("東京都。", 2.9, em, FONTS, False) == ["東京", "都。"] or wrap(
        "東京都。", 2.9, em, FONTS, False
    ) == ["東京都。"]
    thai = wrap("สโมสรเรือพายเรือ", 4.0, em, FONTS, False)
    assert thai is not None
    assert "".join(thai) == "สโมสรเรือพายเรือ"
    assert not any(line.endswith(("เ", "แ", "โ", "ใ", "ไ")) for line in thai)


def test_line_breaks_of_the_text_are_kept() -> None:
    """Two lines stay two lines."""
    assert fit("OB-1042\nREGATTA-7", Box(0, 0, 80, 20), SETTING, FONTS).texts == ("OB-1042", "REGATTA-7")


def test_tall_marks_get_the_room_that_they_need() -> None:
    """Letters with marks over and under them are set smaller, so that they stay in their box."""
    plain = fit("nananana", Box(0, 0, 60, 6), SETTING, FONTS)
    towering = fit("n" + "\u0302" * 12 + "a" + "\u0323" * 12, Box(0, 0, 60, 6), SETTING, FONTS)
    assert towering.size < plain.size


@pytest.mark.parametrize("text", ["", " ", "\n", "\u200b", "\t\t"])
def test_an_empty_text_fits(text: str) -> None:
    """Nothing is set where there is nothing to say."""
    fitted = fit(text, Box(0, 0, 20, 5), SETTING, FONTS)
    assert not fitted.was_cut
    assert fitted.width_mm == 0
