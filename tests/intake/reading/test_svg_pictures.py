"""Pictures inside a drawing: how many of their pixels come on an inch, wherever they sit."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

from tests.intake.reading.svg_drawing import opened, painted, picture_href, read, svg

INCHES = 'width="4in" height="4in" viewBox="0 0 4 4"'


@pytest.mark.parametrize(
    ("body", "ppi"),
    [
        ('<image href="{}" width="1" height="1"/>', (300, 300)),
        ('<image xlink:href="{}" width="2" height="2"/>', (150, 150)),
        ('<image href="{}" width="1" height="2" preserveAspectRatio="none"/>', (300, 150)),
        ('<image href="{}" width="1" height="2"/>', (300, 300)),
        ('<image href="{}" width="1" height="2" preserveAspectRatio="xMidYMid slice"/>', (150, 150)),
        ('<image href="{}" width="2"/>', (150, 150)),
        ('<g transform="rotate(45) scale(2)"><image href="{}" width="1" height="1"/></g>', (150, 150)),
        ('<defs><image id="i" href="{}" width="1" height="1"/></defs>'
         '<use href="#i" transform="scale(3)"/>', (100, 100)),
        ('<pattern id="p" width="1" height="1" patternContentUnits="objectBoundingBox">'
         '<image href="{}" width="1" height="1"/></pattern>'
         '<rect width="2" height="2" fill="url(#p)"/>', (150, 150)),
        ('<pattern id="p" width="1" height="1" patternUnits="userSpaceOnUse">'
         '<image href="{}" width="1" height="1"/></pattern>'
         '<rect width="2" height="2" fill="url(#p)"/>', (300, 300)),
    ],
)  # fmt: skip
def test_a_picture_has_the_resolution_that_its_place_gives_it(
    body: str, ppi: tuple[float, float], tmp_path: Path
) -> None:
    """300 × 300 px on so many inches, through every matrix and fit."""
    art = read(svg(body.replace("{}", picture_href(300, 300)), INCHES), tmp_path)
    assert [image.ppi for image in art.images] == [pytest.approx(ppi)]
    assert art.images[0].pixels == (300, 300)


def test_skew_counts_in_its_worst_direction(tmp_path: Path) -> None:
    """72 ÷ the greatest stretch, as for a page."""
    body = f'<image href="{picture_href(300, 300)}" width="1" height="1" transform="skewX(45)"/>'
    (image,) = read(svg(body, INCHES), tmp_path).images
    assert image.worst_ppi == pytest.approx(300 / 1.618034, rel=1e-4)


def test_a_picture_in_a_mask_is_told_as_one(tmp_path: Path) -> None:
    """By its own resolution, beside what it masks."""
    body = (
        f'<mask id="m"><image href="{picture_href(100, 100)}" width="2" height="2"/></mask>'
        '<rect width="2" height="2" mask="url(#m)"/>'
    )
    (image,) = read(svg(body, INCHES), tmp_path).images
    assert image.kind == "soft mask"
    assert image.ppi == pytest.approx((50, 50))


@pytest.mark.parametrize(
    "body",
    [
        '<defs><image href="{}" width="1" height="1"/></defs>',
        '<image href="{}" width="1" height="1" x="9"/>',
        '<image href="{}" width="0" height="1"/>',
        '<image href="{}" width="1" height="1" display="none"/>',
        '<pattern id="p" width="1" height="1"><image href="{}" width="1" height="1"/></pattern>',
    ],
)
def test_a_picture_that_is_not_painted_does_not_count(body: str, tmp_path: Path) -> None:
    """Held in the file, shown nowhere."""
    assert read(svg(body.replace("{}", picture_href(9, 9)), INCHES), tmp_path).images == ()


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "GIF", "WEBP"])
def test_pictures_of_every_usual_kind_are_drawn(kind: str, tmp_path: Path) -> None:
    """Each is there in the rendering, too."""
    body = f'<image href="{picture_href(30, 30, kind)}" width="4" height="4"/>'
    drawing = opened(svg(body, INCHES), tmp_path)
    assert len(drawing.artwork.images) == 1
    assert (painted(drawing)[..., 3] == 255).mean() > 0.98


@pytest.mark.parametrize("kind", ["BMP", "TIFF"])
def test_a_picture_of_a_kind_that_is_not_drawn_is_told(kind: str, tmp_path: Path) -> None:
    """Rather than missed."""
    drawing = opened(
        svg(f'<image href="{picture_href(30, 30, kind)}" width="4" height="4"/>', INCHES), tmp_path
    )
    assert drawing.artwork.images == ()
    assert any("left out" in note for note in drawing.artwork.notes)


@pytest.mark.parametrize(
    "href", ["data:image/png;base64,AAAA", "data:image/png", "data:,x", "data:;base64,====="]
)
def test_a_broken_picture_is_told(href: str, tmp_path: Path) -> None:
    """The drawing is read without it."""
    assert any(
        "left out" in n for n in read(svg(f'<image href="{href}" width="4" height="4"/>'), tmp_path).notes
    )


def test_a_drawing_inside_the_drawing_is_drawn(tmp_path: Path) -> None:
    """Cleaned first."""
    inside = svg(
        '<rect width="100" height="100" fill="red"/>', 'width="10" height="10" viewBox="0 0 100 100"'
    )
    packed = base64.b64encode(inside.encode()).decode()
    body = f'<image href="data:image/svg+xml;base64,{packed}" width="4" height="4"/>'
    assert (painted(opened(svg(body, INCHES), tmp_path))[..., 3] == 255).mean() > 0.98
