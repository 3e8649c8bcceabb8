"""The faces: shipped, named by the shop, and what happens to files that are none."""

from __future__ import annotations

from pathlib import Path

import pytest
from numpy.lib.stride_tricks import sliding_window_view

from tests.tickets.paper.samples import render, text_of, ticket
from tests.tickets.paper.tiny_font import make_font
from tickets.paper import load_fonts, missing_characters, render_ticket

INVENTED = "\U000139e1"  # a letter that none of the shipped faces has


def test_every_promised_script_has_a_shipped_face() -> None:
    """Latin, Greek, Cyrillic, Arabic, Hebrew, Devanagari and Thai need no font of the shop's."""
    fonts = load_fonts()
    assert fonts.problems == ()
    assert missing_characters("AzÀſ Ωω Яя ابجي אבת कखग กขค ₤€ 0-9 ½ × °", fonts) == set()


@pytest.mark.parametrize("kind", ["cff", "cid"])
def test_a_font_file_of_the_shop_prints_what_the_shipped_ones_lack(tmp_path: Path, kind: str) -> None:
    """OpenType with PostScript outlines, named or by character numbers, is embedded and drawn."""
    path = tmp_path / "own.otf"
    path.write_bytes(make_font(INVENTED, by_character_number=kind == "cid"))
    without, fonts = load_fonts(), load_fonts((str(path),))
    assert fonts.problems == ()
    assert "Invented Test Face" in fonts.names
    assert missing_characters(f"a{INVENTED}", without) == {INVENTED}
    assert missing_characters(f"a{INVENTED}", fonts) == set()
    pdf = render_ticket(ticket(customer=f"Club {INVENTED}"), "a5", fonts)
    assert f"Club {INVENTED}" in text_of(pdf)
    assert "U+139E1" not in text_of(pdf)
    assert _is_drawn(pdf)


def _is_drawn(pdf: bytes) -> bool:
    """Whether the invented letter, a solid square of half an em, stands in the customer's field."""
    black = render(pdf, 150)[int(37 * 150 / 25.4) : int(57 * 150 / 25.4), int(82 * 150 / 25.4) :] < 100
    return bool(sliding_window_view(black, (12, 12)).all(axis=(2, 3)).any())


@pytest.mark.parametrize(
    ("content", "said"), [(None, "cannot be opened"), (b"", "no TrueType"), (b"%PDF-1.4\n", "no TrueType")]
)
def test_a_file_that_is_no_font_is_told_of_and_left_out(
    tmp_path: Path, content: bytes | None, said: str
) -> None:
    """Papers are printed all the same; doctor has a sentence that names the file."""
    path = tmp_path / "broken.ttf"
    if content is not None:
        path.write_bytes(content)
    fonts = load_fonts((str(path),))
    assert fonts.names == load_fonts().names
    assert len(fonts.problems) == 1
    assert said in fonts.problems[0]
    assert "broken.ttf" in fonts.problems[0]


def test_a_font_that_may_not_be_embedded_is_not(tmp_path: Path) -> None:
    """The licence bits of the file are heeded (OS/2 fsType, restricted)."""
    path = tmp_path / "locked.otf"
    path.write_bytes(make_font(INVENTED, fs_type=2))
    assert "forbids" in load_fonts((str(path),)).problems[0]


def test_spaces_and_joiners_are_never_missing() -> None:
    """Only what a reader would see can be missing."""
    assert missing_characters(" \t\n\u00a0\u200b\u200d\u2028\ufe0f", load_fonts()) == set()
