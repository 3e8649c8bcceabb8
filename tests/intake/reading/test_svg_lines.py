"""How thin the lines of a drawing are: view boxes, units, transforms, shares, styles, uses, patterns."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.reading.svg_css import read_declarations
from intake.reading.svg_path import read_path
from tests.intake.reading.svg_drawing import made, read, strokes_mm, svg

LINE = '<path d="M10 50H90" stroke="#000" {}/>'


@pytest.mark.parametrize(
    ("body", "width_mm"),
    [
        (LINE.format('stroke-width="2"'), 2),
        (LINE.format(""), 1),
        (LINE.format('stroke-width="1pt"'), 96 / 72),  # one unit is a mm here: the view box scales units too
        (LINE.format('style="stroke-width:.2"'), 0.2),
        (LINE.format('stroke-width="9" style="stroke-width:.2 !important"'), 0.2),
        (f'<g transform="scale(.5)">{LINE.format("")}</g>', 0.5),
        (f'<g transform="scale(4 .25)">{LINE.format("")}</g>', 0.25),
        (f'<g transform="rotate(30) scale(.3)">{LINE.format("")}</g>', 0.3),
        (f'<g transform="skewX(45)">{LINE.format("")}</g>', 0.618),
        (f'<g stroke-width=".3">{LINE.format("")}</g>', 0.3),
        (f'<g stroke-width=".3">{LINE.format("stroke-width=" + chr(34) + "inherit" + chr(34))}</g>', 0.3),
        (LINE.format('stroke-width="1%"'), 1),
        ('<style>path{stroke-width:.4}</style>' + LINE.format(""), 0.4),
        ('<style>.a{stroke-width:.4} #b{stroke-width:.3} path{stroke-width:.2}</style>'
         + LINE.format('class="a" id="b"'), 0.3),
        ('<style>g > .a{stroke-width:.4}</style><g><a>' + LINE.format('class="a"') + "</a></g>", 1),
        ('<style>g .a{stroke-width:.4}</style><g><a>' + LINE.format('class="a"') + "</a></g>", 0.4),
        ('<style>/* x{} */ @media print{path{stroke-width:9}} path{stroke-width:.4}</style>'
         + LINE.format(""), 0.4),
        ('<defs><path id="l" d="M0 0H9" stroke="red" stroke-width=".2"/></defs>'
         '<use href="#l" x="9" y="9"/>', 0.2),
        ('<defs><path id="l" d="M0 0H9"/></defs>'
         '<use xlink:href="#l" y="9" stroke="red" stroke-width=".2"/>', 0.2),
        ('<symbol id="s" viewBox="0 0 10 10"><path d="M0 5H10" stroke="red"/></symbol>'
         '<use href="#s" width="20" height="20"/>', 2),
        ('<svg x="10" y="10" width="50" height="50" viewBox="0 0 10 10">'
         '<path d="M0 5H9" stroke="red"/></svg>', 5),
        ('<rect x="9" y="9" width="80" height="80" fill="none" stroke="red" stroke-width=".7"/>', 0.7),
        ('<circle cx="50" cy="50" r="40" fill="none" stroke="red" stroke-width=".7"/>', 0.7),
        ('<ellipse cx="50" cy="50" rx="40" ry="9" fill="none" stroke="red" stroke-width=".7"/>', 0.7),
        ('<line x1="9" y1="9" x2="90" y2="9" stroke="red" stroke-width=".7"/>', 0.7),
        ('<polyline points="9,9 90,9 90,90" fill="none" stroke="red" stroke-width=".7"/>', 0.7),
        ('<polygon points="9 9 90 9 90 90" fill="none" stroke="red" stroke-width=".7"/>', 0.7),
        ('<switch><path systemLanguage="xx" d="M9 9H90" stroke="red" stroke-width="3"/>'
         + LINE.format("") + "</switch>", 1),
    ],
)  # fmt: skip
def test_a_stroke_is_as_wide_as_everything_over_it_makes_it(
    body: str, width_mm: float, tmp_path: Path
) -> None:
    """Width × the least stretch of the whole matrix; the cascade decides which width (SVG 2, 13.5.2)."""
    assert strokes_mm(read(svg(body), tmp_path)) == [pytest.approx(width_mm, abs=6e-4)]


@pytest.mark.parametrize(
    "body",
    [
        LINE.format('stroke-width="0"'),
        LINE.format('display="none"'),
        LINE.format('visibility="hidden"'),
        LINE.format('stroke-opacity="0"'),
        LINE.format('opacity="0"'),
        f"<defs>{LINE.format('')}</defs>",
        f'<clipPath id="c">{LINE.format("")}</clipPath>',
        f'<mask id="c">{LINE.format("")}</mask>',
        '<path d="M10 50H90"/>',
        LINE.format('transform="translate(500 0)"'),
        '<clipPath id="c"><rect width="9" height="9"/></clipPath>'
        f'<g clip-path="url(#c)">{LINE.format("")}</g>',
    ],
)
def test_what_is_not_painted_is_no_line(body: str, tmp_path: Path) -> None:
    """Width 0 paints nothing in SVG (13.5.2), unlike in PDF; nor does what is hidden or clipped away."""
    assert strokes_mm(read(svg(body), tmp_path)) == []


def test_shares_are_of_the_diagonal(tmp_path: Path) -> None:
    """Of √((w² + h²) / 2), not of the width (SVG 2, 8.9)."""
    art = read(svg('<path d="M0 9H40" stroke="red" stroke-width="10%"/>',
                   'width="40mm" height="30mm" viewBox="0 0 40 30"'), tmp_path)  # fmt: skip
    assert strokes_mm(art) == [pytest.approx(0.1 * (1250**0.5), abs=1e-4)]


def test_the_small_file_of_unequal_scaling() -> None:
    """.25 mm, thinner of .25 and 4 mm; a line that never scales is 1 px = .2646 mm."""
    assert strokes_mm(made("svg_nonuniform_stroke.svg")) == [
        pytest.approx(0.25),
        pytest.approx(0.25),
        pytest.approx(0.2646, abs=1e-4),
    ]


def test_the_small_file_in_mm() -> None:
    """.2 units of half a mm."""
    assert strokes_mm(made("svg_mm.svg")) == [pytest.approx(0.1)]


@pytest.mark.parametrize(
    ("body", "width_mm"),
    [
        ('<rect x="10" y="10" width="80" height=".2"/>', 0.2),
        ('<path d="M10 10h80v.2H10z"/>', 0.2),
        ('<polygon points="10,10 90,10 90,10.2 10,10.2"/>', 0.2),
        ('<rect x="10" y="10" width="80" height=".2" transform="rotate(20 50 50)"/>', 0.2),
    ],
)
def test_a_fill_as_thin_as_a_line_is_one(body: str, width_mm: float, tmp_path: Path) -> None:
    """The shorter side of the filled shape."""
    assert strokes_mm(read(svg(body), tmp_path), "fill") == [pytest.approx(width_mm)]


def test_lines_inside_a_pattern_count(tmp_path: Path) -> None:
    """As wide as pattern and shape make them."""
    pattern = (
        '<pattern id="p" width="10" height="10" patternUnits="userSpaceOnUse" patternTransform="scale(.5)">'
        '<path d="M0 5H10" stroke="red" stroke-width=".4"/></pattern>'
    )
    art = read(svg(pattern + '<rect width="90" height="90" fill="url(#p)"/>'), tmp_path)
    assert strokes_mm(art) == [pytest.approx(0.2)]


def test_a_line_round_a_filled_shape_is_carried_by_it(tmp_path: Path) -> None:
    """It holds as well as what it lies on."""
    body = '<rect x="20" y="20" width="60" height="60" fill="red" stroke="#00f" stroke-width=".1"/>'
    (line,) = read(svg(body), tmp_path).strokes
    assert not line.stands_alone


@pytest.mark.parametrize(
    ("data", "end"),
    [
        ("M1 2 3 4", (3, 4)),
        ("m1 2 3 4", (4, 6)),
        ("M1 2L3 4h5v6", (8, 10)),
        ("M0 0C1 1 2 2 3 3s1 1 2 2", (5, 5)),
        ("M0 0Q1 1 2 0t2 0", (4, 0)),
        ("M0 0a5 5 0 1010 0", (10, 0)),
        ("M0,0A5,5,0,0,1,10,0", (10, 0)),
        ("M.5.5.6.6", (0.6, 0.6)),
        ("M1-2-3-4", (-3, -4)),
        ("M0 0L5 5 x 9 9", (5, 5)),
        ("M0 0L5 5z l1 1", (1, 1)),
        ("M1e1 1E+1", (10, 10)),
    ],
)
def test_path_data_are_read_as_written(data: str, end: tuple[float, float]) -> None:
    """Short forms, missing separators, arc flags run together; an error ends the path (SVG 2, 9.5)."""
    assert read_path(data).current == pytest.approx(end)


def test_an_arc_stays_on_its_circle() -> None:
    """Half a turn of radius 5 is cut into curves whose points are all 5 from the middle."""
    path = read_path("M0 0A5 5 0 0 1 10 0")
    points = [point for sub in path.subpaths for point in sub.points]
    assert all(((x - 5) ** 2 + y**2) ** 0.5 == pytest.approx(5, abs=0.01) for x, y in points)
    assert min(y for _, y in points) == pytest.approx(-5, abs=0.01)


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789.,- eE+", max_size=60))
def test_any_path_data_are_read(data: str) -> None:
    """No path data raise, however broken."""
    read_path(data)


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=60))
def test_any_declarations_are_read(block: str) -> None:
    """No style raises."""
    assert all(":" not in name for name, _, _ in read_declarations(block))
