"""How large a drawing is: units, view boxes, shares, and sizes that leave nothing to be drawn."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from intake.facts import Artwork
from intake.reading import kind_of
from tests.intake.reading.svg_drawing import SPACES, made, opened, painted, read, svg
from tickets.problems import ArtworkRefused

BOX = '<rect width="10" height="10"/>'


@pytest.mark.parametrize(
    ("attributes", "size_mm"),
    [
        ('width="100mm" height="50mm"', (100, 50)),
        ('width="2in" height="3in"', (50.8, 76.2)),
        ('width="96" height="192px"', (25.4, 50.8)),
        ('width="72pt" height="6pc"', (25.4, 25.4)),
        ('width="10cm" height="40q"', (100, 10)),
        ('width="200" height="100" viewBox="-100 -50 200 100"', (52.9167, 26.4583)),
        ('width="100mm" viewBox="0 0 200 100"', (100, 50)),
        ('height="100mm" viewBox="0 0 200 100"', (200, 100)),
        ('width="1e2mm" height=" 50mm "', (100, 50)),
    ],
)
def test_a_stated_size_is_what_its_unit_says(
    attributes: str, size_mm: tuple[float, float], tmp_path: Path
) -> None:
    """A bare number is a px of 1/96 inch (CSS Values 3, 6.2); a missing side follows from the view box."""
    art = read(svg(BOX, attributes), tmp_path)
    assert art.size_mm == pytest.approx(size_mm, abs=1e-3)
    assert art.pixels is None


@pytest.mark.parametrize(
    ("attributes", "shape"),
    [
        ('viewBox="0 0 200 100"', 2.0),
        ('width="100%" height="100%" viewBox="0 0 480 360"', 480 / 360),
        ('width="100%" viewBox="0 0 480 360"', 480 / 360),
        ('width="10em" height="5em"', 2.0),
        ("", 1.0),
    ],
)
def test_without_a_physical_size_only_the_shape_is_told(
    attributes: str, shape: float, tmp_path: Path
) -> None:
    """Nothing is made up: shares, font units and bare view boxes say nothing about paper; a note says so."""
    art = read(svg(BOX, attributes), tmp_path)
    assert art.size_mm is None
    assert art.shape == pytest.approx(shape, rel=1e-3)
    assert any("how large it is in print" in note for note in art.notes)


def test_a_drawing_without_any_size_is_as_large_as_what_it_paints(tmp_path: Path) -> None:
    """The box round the art stands in for the canvas, so that nothing is cut off."""
    drawing = opened(svg('<rect x="30" y="-5" width="40" height="20"/>', ""), tmp_path)
    assert drawing.artwork.shape == pytest.approx(2.0)
    assert (painted(drawing)[..., 3] == 255).mean() > 0.99


@pytest.mark.parametrize(
    "attributes",
    [
        'width="-50" height="-100"',
        'width="0" height="10"',
        'viewBox="0 0 0 0"',
        'viewBox="0 0 10 -4" width="10" height="10"',
        'width="1e30" height="10"',
        'width="1e-9" height="10"',
    ],
)
def test_a_size_that_shows_nothing_is_refused(attributes: str, tmp_path: Path) -> None:
    """With the reason; no other size is put in its place."""
    with pytest.raises(ArtworkRefused) as told:
        read(svg(BOX, attributes), tmp_path)
    assert told.value.slug == "no-picture"


@pytest.mark.parametrize(
    ("name", "size_mm", "shape"),
    [
        ("svg_mm.svg", (100.0, 50.0), 2.0),
        ("svg_viewbox_only.svg", None, 2.0),
        ("svg_percent.svg", None, 480 / 360),
        ("svg_nonuniform_stroke.svg", (100.0, 100.0), 1.0),
    ],
)
def test_the_small_files_have_the_size_that_is_right(
    name: str, size_mm: tuple[float, float] | None, shape: float
) -> None:
    """Built for one trap each."""
    art: Artwork = made(name)
    assert art.size_mm == (None if size_mm is None else pytest.approx(size_mm))
    assert art.shape == pytest.approx(shape)


def test_a_view_box_without_extent_is_refused() -> None:
    """The small file of that trap."""
    with pytest.raises(ArtworkRefused):
        made("svg_zero_viewbox.svg")


@pytest.mark.parametrize(
    "text",
    [
        svg(BOX),
        "<?xml version='1.0'?>\n<!-- made by hand -->\n" + svg(BOX),
        "<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'svg11.dtd'>" + svg(BOX),
        f'<s:svg xmlns:s="http://www.w3.org/2000/svg" width="9" height="9">{BOX}</s:svg>',
        f'<svg width="9" height="9">{BOX}</svg>',
    ],
)
@pytest.mark.parametrize("packing", ["plain", "gzip", "utf-8-sig", "utf-16"])
def test_a_drawing_is_known_by_its_root_element(text: str, packing: str, tmp_path: Path) -> None:
    """Whatever comes before it, compressed or not, in either width of letters, under any name."""
    data = text.encode(packing if packing.startswith("utf") else "utf-8")
    path = tmp_path / "art.png"
    path.write_bytes(gzip.compress(data) if packing == "gzip" else data)
    assert kind_of(path) == "SVG"


@pytest.mark.parametrize(
    "text",
    ["<html><svg></svg></html>", "<?xml version='1.0'?><a><svg/></a>", "a <svg> is a drawing", "<svgs/>"],
)
def test_what_only_mentions_a_drawing_is_none(text: str, tmp_path: Path) -> None:
    """A page with a drawing on it is a page."""
    path = tmp_path / "art.svg"
    path.write_text(text)
    assert kind_of(path) is None


def test_size_and_picture_of_a_compressed_drawing(tmp_path: Path) -> None:
    """SVGZ is read like SVG."""
    drawing = opened(gzip.compress(svg(BOX).encode()), tmp_path, "a.svgz")
    assert drawing.artwork.size_mm == pytest.approx((100, 100))
    assert painted(drawing, 100.0)[..., 3].astype(float).mean() / 255 == pytest.approx(0.01, abs=0.0005)


@pytest.mark.parametrize("share", [0.5, 0.9, 0.99])
@pytest.mark.parametrize("packed", [False, True])
def test_a_drawing_cut_short_is_told_as_such(share: float, packed: bool, tmp_path: Path) -> None:
    """An upload that stopped: not "damaged", but "send it again"."""
    data = svg(BOX * 50).encode()
    data = gzip.compress(data) if packed else data
    path = tmp_path / "a.svg"
    path.write_bytes(data[: int(len(data) * share)])
    with pytest.raises(ArtworkRefused) as told:
        read(path.read_bytes(), tmp_path)
    assert told.value.slug == "file-cut-short"


def test_broken_text_is_damaged(tmp_path: Path) -> None:
    """What no parser takes is refused once, and not read another way."""
    with pytest.raises(ArtworkRefused) as told:
        read(f"<svg {SPACES} width='9' height='9'><g></svg>" + " " * 9000, tmp_path)
    assert told.value.slug == "file-damaged"
