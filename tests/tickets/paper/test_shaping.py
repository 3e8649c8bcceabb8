"""Text of any script: direction, joining, marks and missing faces, against independent programs."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import numpy as np
import pytest
from bidi import get_display
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tests.tickets.paper.samples import render
from tickets.paper import load_fonts, missing_characters
from tickets.paper.fonts import BOLD, PLAIN, SHIPPED, Style
from tickets.paper.shaping import clusters, embedding_levels, is_rtl, shape
from tickets.paper.sheet import Sheet

FONTS = load_fonts()
NAMES = {
    "latin": "Otter Bank Rowing Club",
    "polish": "Zażółć gęślą jaźń",
    "decomposed": unicodedata.normalize("NFD", "Zoë Ångström, Đặng Thị"),
    "greek": "Ναυτικός Όμιλος Όχθης",
    "polytonic": "ἀριστερὰ στῆθος",
    "cyrillic": "Гребной клуб «Берег»",
    "arabic": "نادي التجديف على ضفة النهر",
    "persian": "باشگاه قایق‌رانی",
    "hebrew": "מועדון החתירה",
    "pointed": "שָׁלוֹם",
    "devanagari": "क्षत्रिय नौका क्लब",
    "thai": "สโมสรเรือพายน้ำที่นี่",
    "mixed": "نادي (London) 12",
}
# Letters of both directions, European and Arabic digits, separators and spaces. Without brackets: pairs of
# them (UAX 9, N0) are told apart by newer programs only.
BIDI_TEXT = st.text("aZдأبتשל12٣٤ .,:-+/%$ ", min_size=1, max_size=24)


@settings(max_examples=400)
@given(BIDI_TEXT, st.booleans())
def test_letters_stand_in_the_order_of_an_independent_program(text: str, rtl: bool) -> None:
    """Reordered by our levels, a text reads as the Rust implementation of UAX 9 in python-bidi puts it."""
    text = text.strip()
    levels = embedding_levels(text, rtl)
    order = list(range(len(text)))
    for level in range(max(levels, default=0), 0, -1):
        at = 0
        while at < len(order):
            end = at
            while end < len(order) and levels[order[end]] >= level:
                end += 1
            order[at:end] = reversed(order[at:end])
            at = max(end, at + 1)
    assert "".join(text[k] for k in order) == get_display(text, base_dir="LR"[rtl])


@pytest.mark.parametrize(("text", "rtl"), [("", False), ("12 أ", True), ("a ש", False), ("(ש) a", True)])
def test_a_paragraph_runs_as_its_first_letter_does(text: str, rtl: bool) -> None:
    """The first strong character decides (UAX 9, P2 and P3)."""
    assert is_rtl(text) is rtl


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_nothing_of_a_name_is_missing(name: str) -> None:
    """Every script that the shop promises is there, joined letters, marks and all."""
    assert missing_characters(name, FONTS) == set()
    for style in (PLAIN, BOLD, Style(narrow=True)):
        assert shape(name, FONTS, style, is_rtl(name)).missing == frozenset()


@pytest.mark.parametrize("name", [n for k, n in NAMES.items() if k != "mixed"])
def test_every_character_belongs_to_a_drawn_glyph(name: str) -> None:
    """Shaping loses no character: what its glyphs stand for is the text again."""
    shaped = shape(name, FONTS, PLAIN, is_rtl(name))
    said = [glyph.text for run in shaped.runs for glyph in run.glyphs]
    assert sorted("".join(said)) == sorted(name)


RAQM = {
    "latin": 0, "polish": 0, "decomposed": 0, "greek": 0, "cyrillic": 0,
    "arabic": 1, "persian": 1, "hebrew": 2, "pointed": 2, "thai": 4,
}  # fmt: skip


def _pillow_font(number: int, style: Style, size: int) -> ImageFont.FreeTypeFont:
    from importlib.resources import files

    package, name = SHIPPED[number]
    font = ImageFont.truetype(
        str(Path(str(files(package))) / "files" / name), size, layout_engine=ImageFont.Layout.RAQM
    )
    wanted = style.axes()
    tags = {"Weight": "wght", "Width": "wdth"}
    named = [axis["name"].decode() if axis["name"] else "" for axis in font.get_variation_axes()]
    font.set_variation_by_axes([wanted[tags[name]] for name in named])
    return font


@pytest.mark.parametrize(("name", "face"), RAQM.items(), ids=RAQM)
@pytest.mark.parametrize("style", [PLAIN, BOLD], ids=["plain", "bold"])
def test_lines_look_as_an_independent_layout_draws_them(name: str, face: int, style: Style) -> None:
    """The line in our PDF, drawn by PDFium, covers that of Pillow's raqm (FriBidi and FreeType)."""
    text, size = NAMES[name], 100
    font = _pillow_font(face, style, size)
    ours_em = shape(text, FONTS, style, is_rtl(text)).width
    assert font.getlength(text) / size == pytest.approx(ours_em, rel=0.01, abs=0.03)
    width, height = int(font.getlength(text)) + 60, 220
    theirs = Image.new("L", (width, height), 255)
    ImageDraw.Draw(theirs).text((30, 140), text, 0, font, anchor="ls")
    sheet = Sheet(width * 25.4 / 72, height * 25.4 / 72, FONTS, title="", author="")
    sheet.write(30 * 25.4 / 72, 140 * 25.4 / 72, text, size, style, (0, 0, 0))
    ours = render(sheet.finish(), 72)
    black = [_cropped(np.asarray(picture) < 128) for picture in (theirs, ours)]
    assert abs(black[0].shape[0] - black[1].shape[0]) <= 3
    assert abs(black[0].shape[1] - black[1].shape[1]) <= 3
    tall, wide = (min(one, other) for one, other in zip(black[0].shape, black[1].shape, strict=True))
    one, other = (picture[:tall, :wide] for picture in black)
    assert (one & other).sum() / (one | other).sum() > 0.75


def _cropped(black: NDArray[np.bool_]) -> NDArray[np.bool_]:
    rows, columns = np.flatnonzero(black.any(axis=1)), np.flatnonzero(black.any(axis=0))
    return black[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def test_arabic_letters_join() -> None:
    """The letters of a word are not those that stand alone."""
    joined = [g.gid for run in shape("محمد", FONTS, PLAIN, True).runs for g in run.glyphs]
    alone = [g.gid for c in "محمد" for run in shape(c, FONTS, PLAIN, True).runs for g in run.glyphs]
    assert joined != alone[::-1]
    assert len(set(joined)) == 4  # the two mims look different


def test_marks_sit_on_their_letters() -> None:
    """A combining mark takes no room of its own, and a letter and its mark are one cluster."""
    assert clusters("n̈ẹ́x") == ["n̈", "ẹ́", "x"]
    assert shape("n̈n̈", FONTS, PLAIN).width == pytest.approx(shape("nn", FONTS, PLAIN).width, abs=0.02)
    assert clusters("क्षत्रि") == ["क्ष", "त्रि"]
    assert clusters("น้ำ") == ["น้ำ"]


def test_a_character_without_a_face_is_a_box_that_is_told_of() -> None:
    """What no face has takes room, is named as missing, and the rest of the line is drawn."""
    shaped = shape("a\U00013080\u0301b\x07\udcff", FONTS, PLAIN)
    assert shaped.missing == {"\U00013080", "\u0301", "\x07", "\udcff"}
    assert [run.face is None for run in shaped.runs] == [False, True, False, True, True]
    assert missing_characters("a\U00013080b \n\u200d", FONTS) == {"\U00013080"}


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=30))
def test_any_text_at_all_can_be_shaped_and_drawn(text: str) -> None:
    """Whatever a customer's file holds, the paper comes out, and no character vanishes unseen."""
    shaped = shape(text, FONTS, PLAIN, is_rtl(text))
    assert shaped.width >= 0
    seen = {c for run in shaped.runs for c in run.text}
    assert {c for c in text if not c.isspace()} <= seen
    sheet = Sheet(100, 30, FONTS, title="", author="")
    sheet.write(5, 20, text, 12)
    assert sheet.finish().startswith(b"%PDF")
    assert sheet.missing == shaped.missing
    assert {c for c in missing_characters(text, FONTS) if not unicodedata.category(c).startswith("M")} <= set(
        shaped.missing
    )


@given(st.text(max_size=40))
def test_clusters_are_the_text_again(text: str) -> None:
    """Cutting a text between clusters loses nothing."""
    assert "".join(clusters(text)) == text
    assume(text)
    assert all(clusters(text))
