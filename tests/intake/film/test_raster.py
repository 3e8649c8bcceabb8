"""A run as pixels: the same as its PDF, with transparency, however it lies."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
import pyvips
from numpy.typing import NDArray

from intake.film.making import make_raster, make_run_file
from intake.film.raster import write_raster
from intake.reading.film_pages import FilmPages, View
from intake.sandbox import Sandbox
from intake.shop import Shop
from tests.intake.film.film_shop import Kind, Made, as_bytes, badge, draw, photo, run_of
from tests.intake.film.test_vector_art import SIZE, drawing

PPI = 144.0
BADGE, PHOTO = (40.0, 30.0), (60.0, 45.0)


@pytest.fixture(scope="module")
def kinds() -> list[Kind]:
    """Pixels, a photo and lines, lying every way."""
    return [
        Kind("badge.png", as_bytes(badge(BADGE, 1)), BADGE, 2),
        Kind("turned.png", as_bytes(badge(BADGE, 2)), BADGE, 2, turned=True),
        Kind("both.png", as_bytes(badge(BADGE, 3)), BADGE, 2, turned=True, mirrored=True),
        Kind("photo.jpg", as_bytes(photo(PHOTO, 4), "JPEG", quality=92), PHOTO, 2, mirrored=True),
        Kind("drawing.pdf", drawing(), SIZE, 1),
    ]


def pixels_of(path: Path) -> NDArray[np.uint8]:
    """A written raster, premultiplied."""
    image = pyvips.Image.new_from_file(str(path))
    rgba = np.frombuffer(image.write_to_memory(), np.uint8).reshape(image.height, image.width, 4)
    return weighed(rgba)


def weighed(rgba: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Colours by their transparency."""
    floats = rgba.astype(np.float32)
    floats[..., :3] *= floats[..., 3:] / 255
    return floats.astype(np.uint8)


def page_of(made: Made) -> NDArray[np.uint8]:
    """The same run as PDFium draws its PDF, premultiplied."""
    page = made.plan.pages[0]
    wide, long = (round(v / 25.4 * PPI) for v in (page.width_mm, page.length_mm))
    with FilmPages(made.path) as pages:
        return weighed(pages.picture(0, View(0, 0, wide, long, PPI / 72), is_mirrored=False))


@pytest.mark.parametrize("kind", ["tiff", "png"])
@pytest.mark.parametrize("is_mirrored", [False, True])
def test_pixels_and_pdf_show_the_same(
    kind: str, is_mirrored: bool, kinds: list[Kind], shop: Shop, sandbox: Sandbox, tmp_path: Path
) -> None:
    """Blurred over what PDFium rounds to whole pixels: the same ink at the same place, codes too."""
    made = draw(shop, run_of(shop, kinds, 300.0), sandbox, tmp_path / "run.pdf", is_mirrored=is_mirrored)
    into = tmp_path / f"run.{kind}"
    assert write_raster(made.plan, into, PPI, shop.settings.limits.file) == pixels_of(into).shape[1::-1]
    one, other = (cv2.blur(p.astype(np.float32), (25, 25)) for p in (pixels_of(into), page_of(made)))
    assert np.abs(one - other).max() < 24
    assert np.abs(one - other).mean() < 0.5
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []


def test_pieces_whose_boxes_overlap_hide_nothing(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """What is clear in one piece's box leaves the ink of another as it is."""
    run = run_of(shop, [Kind("badge.png", as_bytes(badge(BADGE, 1)), BADGE, 2)], 300.0)
    first, second = run.pieces
    locked = replace(second, x_mm=first.x_mm + 34.0, y_mm=first.y_mm + 32.0 - 8.0)
    made = draw(shop, replace(run, pieces=(first, locked), length_mm=120.0), sandbox, tmp_path / "run.pdf")
    into = tmp_path / "run.tiff"
    write_raster(made.plan, into, PPI, shop.settings.limits.file)
    alone = draw(shop, replace(run, pieces=(first,), length_mm=120.0), sandbox, tmp_path / "alone.pdf")
    write_raster(alone.plan, tmp_path / "alone.tiff", PPI, shop.settings.limits.file)
    together, only = pixels_of(into), pixels_of(tmp_path / "alone.tiff")
    solid = only[..., 3] == 255
    box = np.zeros(solid.shape, bool)
    px = PPI / 25.4
    box[int(18 * px) : int(48 * px), : int(40 * px)] = True
    assert (together[solid & box] == only[solid & box]).all()


def test_the_command_writes_it_in_the_sandbox(shop: Shop, kinds: list[Kind]) -> None:
    """Beside the PDF, named by its fineness, with its resolution inside."""
    made = make_run_file(shop, run_of(shop, kinds[:2], 300.0))
    path = make_raster(shop, made, "tiff", 100.0)
    assert path.name == f"{made.run.code}-100ppi.tiff"
    image = pyvips.Image.new_from_file(str(path))
    assert (image.bands, round(image.xres * 25.4)) == (4, 100)
    assert image.width == round(300 / 25.4 * 100)
    with path.open("rb") as file:
        assert file.read(4) in (b"II\x2b\0", b"MM\0\x2b")  # BigTIFF
