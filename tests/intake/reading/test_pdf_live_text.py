"""Live text of a page: how large it is through every matrix, and how high its letters are."""

from __future__ import annotations

from pathlib import Path

import pytest

from config.settings import load_settings
from intake.facts import LiveText
from intake.reading.pdf import open_pdf
from tests.intake.reading.pdf_drawing import Drawing

LIMITS = load_settings(None, {}).limits.file


def texts_of(tmp_path: Path, content: str, descriptor: str = "") -> tuple[LiveText, ...]:
    """What is read of a page that shows this content in a font F."""
    drawing = Drawing(content)
    font = "/Type/Font/Subtype/TrueType/BaseFont/SomeSans"
    if descriptor:
        font += f"/FontDescriptor {drawing.add(f'<</Type/FontDescriptor/FontName/SomeSans{descriptor}>>')}"
    drawing.resources = f"/Font<</F {drawing.add(f'<<{font}>>')}>>"
    opened = open_pdf(drawing.write(tmp_path / "text.pdf"), 1, LIMITS)
    try:
        return opened.artwork.texts
    finally:
        opened.close()


@pytest.mark.parametrize(
    ("content", "size_pt"),
    [
        ("BT /F 12 Tf 20 20 Td (Abc) Tj ET", 12),
        ("BT /F 1 Tf 7 0 0 7 20 20 Tm (Abc) Tj ET", 7),
        ("0.5 0 0 0.5 0 0 cm BT /F 12 Tf 20 20 Td (Abc) Tj ET", 6),
        ("0 2 -2 0 200 20 cm BT /F 3 Tf 20 20 Td [(A) -20 (bc)] TJ ET", 6),
    ],
)
def test_text_is_as_large_as_its_matrices_make_it(tmp_path: Path, content: str, size_pt: float) -> None:
    """The font's size through text matrix and current matrix (ISO 32000-1 9.4.4), turned or not."""
    (text,) = texts_of(tmp_path, content)
    assert text.size_pt == pytest.approx(size_pt)
    assert text.x_height_pt == 0
    assert text.place_pt[2] > 0


def test_a_font_may_say_how_high_its_letters_are(tmp_path: Path) -> None:
    """XHeight of the font descriptor (9.8.1), in thousandths of the size; nonsense is not believed."""
    content = "BT /F 10 Tf 20 20 Td (Abc) Tj ET"
    assert texts_of(tmp_path, content, "/XHeight 520")[0].x_height_pt == pytest.approx(5.2)
    assert texts_of(tmp_path, content, "/XHeight -7")[0].x_height_pt == 0
    assert texts_of(tmp_path, content, "/XHeight 52000")[0].x_height_pt == 0


@pytest.mark.parametrize(
    "content",
    ["BT /F 12 Tf 3 Tr 20 20 Td (Abc) Tj ET", "BT /F 12 Tf 900 20 Td (Abc) Tj ET", "BT /F 0 Tf (Abc) Tj ET"],
)
def test_text_that_does_not_show_is_not_told(tmp_path: Path, content: str) -> None:
    """Invisible, off the page, or of no size."""
    assert texts_of(tmp_path, content) == ()


def test_the_smallest_of_very_many_texts_are_kept(tmp_path: Path) -> None:
    """A page full of text tells of the smallest, and no more than some hundreds."""
    lines = [f"BT /F {size} Tf 20 20 Td (Abc) Tj ET" for size in range(40, 3, -1) for _ in range(60)]
    texts = texts_of(tmp_path, "\n".join(lines))
    assert len(texts) <= 300
    assert texts[0].size_pt == 4
