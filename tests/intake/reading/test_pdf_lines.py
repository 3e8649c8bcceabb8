"""Strokes through their matrix, hairlines, and shapes filled as thin as lines."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.settings import load_settings
from intake.facts import Artwork
from intake.reading.pdf import open_pdf
from intake.reading.pdf_lines import Path as DrawnPath
from intake.reading.pdf_lines import thin_fills
from intake.reading.pdf_matrix import Matrix
from tests.intake.reading.pdf_drawing import Drawing

LIMITS = load_settings(None, {}).limits.file
MADE = Path(__file__).parents[2] / "data" / "artwork_pdf"


def read(path: Path) -> Artwork:
    """The facts of page 1."""
    opened = open_pdf(path, 1, LIMITS)
    opened.close()
    return opened.artwork


def lines(drawing: Drawing, tmp_path: Path) -> list[tuple[float, str]]:
    """(width in points, kind) of each line that a drawing paints."""
    art = read(drawing.write(tmp_path / "a.pdf"))
    return [(round(stroke.width_pt, 3), stroke.kind) for stroke in art.strokes]


@pytest.mark.parametrize(
    ("content", "width"),
    [
        ("2 w 10 10 m 200 10 l S", 2),
        ("2 w .25 0 0 4 0 0 cm 10 10 m 60 60 l S", 0.5),
        ("1 w 0 3 -3 0 100 0 cm 1 1 m 20 20 l S", 3),
        ("0 w 10 10 m 200 200 l S", 0),
        ("0 w 9 0 0 9 0 0 cm 1 1 m 20 20 l S", 0),
        ("/T gs 10 10 m 200 10 l S", 0.05),
        ("10 10 m 200 10 l S", 1),
        ("3 w q .1 w Q 10 10 m 200 10 l S", 3),
        ("-2 w 10 10 m 200 10 l S", 2),
        ("1 w 10 10 m 20 80 90 80 100 10 c s", 1),
        ("1 w 1 .5 0 1 0 0 cm 10 10 m 100 10 l S", 0.781),
    ],
)
def test_a_stroke_is_as_thin_as_its_matrix_makes_it(content: str, width: float, tmp_path: Path) -> None:
    """Line width × the least singular value; 0 stays the device's thinnest line (ISO 32000-1 8.4.3.2)."""
    drawing = Drawing(content, resources="/ExtGState<</T<</LW .05>>>>")
    assert lines(drawing, tmp_path) == [(width, "stroke")]


def test_user_unit_widens_lines(tmp_path: Path) -> None:
    """A page of 1 inch units has lines in inches."""
    drawing = Drawing(".01 w .5 .5 m 3 3 l S", media="[0 0 4 4]", page="/UserUnit 72")
    assert lines(drawing, tmp_path) == [(0.72, "stroke")]


@pytest.mark.parametrize(
    "content",
    [
        "1 w 10 10 m 200 10 l n",  # not painted
        "1 w 400 400 m 500 500 l S",  # outside the page
        "0 0 5 5 re W n 1 w 50 50 m 90 90 l S",  # clipped away
        "1 w 10 10 m S",  # no line
        "/I gs 1 w 10 10 m 90 90 l S",  # no opacity
        "/OC /L BDC 1 w 10 10 m 90 90 l S EMC",  # hidden layer
        "BT 3 Tr /F 12 Tf 10 10 Td (word) Tj ET",  # invisible text
        "BT 0 Tr /F 12 Tf 10 10 Td (word) Tj ET",  # filled text
        ".1 w BT 2 Tr /F 12 Tf 10 10 Td (word) Tj ET",  # filled text with a line round it: bolder, not thin
    ],
)
def test_a_line_that_is_not_painted_is_none(content: str, tmp_path: Path) -> None:
    """Only what would be printed counts."""
    drawing = Drawing(
        content,
        resources="/ExtGState<</I<</CA 0>>>>/Font<</F<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>>>"
        "/Properties<</L 10 0 R>>",
        catalog="/OCProperties<</OCGs[10 0 R]/D<</OFF[10 0 R]>>>>",
    )
    drawing.add("<</Type/OCG/Name(L)>>")
    assert read(drawing.write(tmp_path / "a.pdf")).strokes == ()


def test_a_pattern_cell_begins_with_the_pages_own_state(tmp_path: Path) -> None:
    """The line width at hand does not reach into a cell (ISO 32000-1 8.7.3.1), but into a form."""
    drawing = Drawing(
        "5 w /Pattern cs /P scn 0 0 200 200 re f /F Do",
        resources="/Pattern<</P 10 0 R>>/XObject<</F 11 0 R>>",
    )
    keys = "/Type/Pattern/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 9 9]/XStep 9/YStep 9"
    drawing.add_stream(f"{keys}/Resources<<>>", b"0 4 m 9 4 l S")
    drawing.add_form("210 10 m 280 10 l S")
    assert lines(drawing, tmp_path) == [(1, "stroke"), (5, "stroke")]


def test_outlined_text_has_the_width_of_its_line(tmp_path: Path) -> None:
    """Text drawn in mode 1 is strokes of the current line width, under the matrix but not the font size."""
    font = "/Font<</F<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>>>"
    content = "2 0 0 2 0 0 cm .1 w BT 1 Tr /F 24 Tf 10 10 Td (word) Tj ET"
    assert lines(Drawing(content, resources=font), tmp_path) == [(0.2, "stroke")]


def test_thin_filled_bars_are_lines() -> None:
    """Two bars of 0.1 and 0.15 pt that no stroke operator drew."""
    assert [(round(s.width_pt, 3), s.kind) for s in read(MADE / "pdf_thin_rect_fill.pdf").strokes] == [
        (0.1, "fill"),
        (0.15, "fill"),
    ]


@given(
    st.floats(0.01, 2),
    st.floats(3, 50),
    st.floats(0, math.pi),
    st.booleans(),
)
def test_a_filled_bar_is_as_thin_at_any_angle(
    width: float, times: float, angle: float, is_polygon: bool
) -> None:
    """The shorter side of the filled shape counts, whether it comes as a rectangle or as a polygon."""
    path, long = DrawnPath(), width * times
    if is_polygon:
        path.move(0, 0)
        for x, y in ((long, 0), (long, width), (0, width)):
            path.line(x, y)
    else:
        path.rectangle(0, 0, long, width)
    turned = Matrix(math.cos(angle), math.sin(angle), -math.sin(angle), math.cos(angle), 50, 50)
    (line,) = thin_fills(path, turned, 5.0)
    assert line.width_pt == pytest.approx(width, rel=1e-6)


@pytest.mark.parametrize(
    "content",
    [
        "10 10 30 30 re f",  # a square
        "10 10 200 40 re f",  # a broad bar
        "10 10 m 100 10 l 100 12 l 60 12 l 60 80 l 58 80 l 58 12 l 10 12 l f",  # no convex shape
        "10 10 200 40 re 20 20 180 1 re f*",  # a thin hole
    ],
)
def test_broad_fills_and_holes_are_no_lines(content: str, tmp_path: Path) -> None:
    """Shapes that are not lines, and thin holes in broad shapes, are left to the measuring of the picture."""
    assert lines(Drawing(content), tmp_path) == []


def alone(content: str, tmp_path: Path) -> list[bool]:
    """Whether each line stands alone, thinnest first."""
    return [s.stands_alone for s in read(Drawing(content).write(tmp_path / "a.pdf")).strokes]


CIRCLE = (
    ".2 w 110 60 m 110 87 87 110 60 110 c 33 110 10 87 10 60 c 10 33 33 10 60 10 c 87 10 110 33 110 60 c "
)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (".2 w 20 100 m 200 100 l S", [True]),
        (".2 w 50 50 100 100 re S", [True]),
        (CIRCLE + "s", [True]),
        (CIRCLE + "b", [False]),
        (".2 w 50 50 100 100 re B", [False]),  # round a filled shape
        ("1 0 0 rg 20 20 200 200 re f .2 w 50 100 m 150 100 l S", [False]),  # on a filled ground
        ("1 g 0 0 288 288 re f 0 g .2 w 50 100 m 150 100 l S", [True]),  # on white paper
        ("1 0 0 rg 20 20 60 60 re f .2 w 20 100 m 200 100 l S", [True]),  # beside a shape, apart
    ],
)
def test_a_line_on_other_ink_is_carried_by_it(content: str, expected: list[bool], tmp_path: Path) -> None:
    """An outline round a filled shape, or a line on filled ground, holds; on nothing or paper not."""
    assert alone(content, tmp_path) == expected


def test_the_thinnest_of_thousands_are_kept(tmp_path: Path) -> None:
    """At most 300 lines are told, thinnest first, and the thinnest is among them."""
    many = "".join(f"{1 + k / 1000:.3f} w 10 {k % 280} m 200 {k % 280} l S " for k in range(5000))
    art = read(Drawing(many + ".01 w 10 5.5 m 200 5.5 l S").write(tmp_path / "a.pdf"))
    widths = [stroke.width_pt for stroke in art.strokes]
    assert len(widths) == 300
    assert widths == sorted(widths)
    assert widths[0] == pytest.approx(0.01)
    assert art.extra["stroke_count"] == 5001
