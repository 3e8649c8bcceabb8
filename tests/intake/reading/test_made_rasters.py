"""Small files built for one trap each: what they state, how they lie, and what is see-through in them."""

from __future__ import annotations

import json
from dataclasses import dataclass

import pytest

from intake.reading import open_artwork
from tests.intake.reading.raster_drawing import LIMITS, MADE, alpha_counts, pixels_of


@dataclass(frozen=True)
class Right:
    """What must come out; counts: (clear, half-clear, solid) pixels, None = not looked at."""

    pixels: tuple[int, int]
    ppi: tuple[float, float] | None
    source: str
    has_alpha: bool = False
    counts: tuple[int, int, int] | None = None
    note: str = ""


RIGHT = {
    "bmp_rgb32_padding.bmp": Right((4, 4), (300, 300), "BMP"),
    "jpg_cmyk_no_app14.jpg": Right((16, 16), None, "", note="does not say whether full ink"),
    "jpg_conflict_exif300_8bim144.jpg": Right((60, 30), None, "conflict", note="EXIF 300 ppi, 8BIM 144 ppi"),
    "jpg_exif_only_cm.jpg": Right((60, 30), (299.72, 299.72), "EXIF"),
    "jpg_exif_only_x300_y150.jpg": Right((60, 30), (300, 150), "EXIF", note="not square"),
    "jpg_exif_unit_none.jpg": Right((60, 30), None, ""),
    "jpg_jfif0_exif_orient_only.jpg": Right((30, 60), None, ""),
    "jpg_jfif_cm.jpg": Right((60, 30), (299.72, 299.72), "JFIF"),
    "jpg_jfif_cm_zero.jpg": Right((60, 30), None, ""),
    "png_gray16_trns_white.png": Right((4, 2), None, "", True, (3, 0, 5)),
    "png_pal_trns_allzero.png": Right((4, 1), None, "", True, (4, 0, 0)),
    "png_pal_trns_unused.png": Right((4, 1), None, "", True, (0, 0, 4)),
    "png_phys_72_unit0.png": Right((4, 4), None, ""),
    "png_phys_nonsquare.png": Right((4, 4), (300, 150), "pHYs", note="not square"),
    "png_phys_zero.png": Right((4, 4), None, ""),
    "tif_no_resolution_tags.tif": Right((4, 4), None, ""),
    "tif_orient6.tif": Right((4, 6), (150, 300), "TIFF", note="not square"),
    "tif_rgb_alpha_spot.tif": Right((4, 4), None, "", True, (8, 4, 4), note="1 more channel"),
    "tif_rgba_extra0.tif": Right((4, 4), None, "", note="not declared as transparency"),
    "tif_rgba_extra2.tif": Right((4, 4), None, "", True, (8, 4, 4)),
    "tif_rgba_extra_missing.tif": Right((4, 4), None, "", note="not declared as transparency"),
    "tif_unit_none_300.tif": Right((4, 4), None, ""),
}


@pytest.mark.parametrize("name", sorted(RIGHT))
def test_each_trap_is_read_as_its_standard_says(name: str) -> None:
    """Size, stored resolution and its source, transparency, and the remark that belongs to it."""
    right = RIGHT[name]
    opened = open_artwork(MADE / name, 1, LIMITS)
    artwork = opened.artwork
    assert artwork.pixels == right.pixels
    assert artwork.stored_ppi == (None if right.ppi is None else pytest.approx(right.ppi, abs=0.02))
    assert artwork.stored_ppi_from == right.source
    assert artwork.has_alpha == right.has_alpha
    assert any(right.note in note for note in artwork.notes) if right.note else artwork.notes == ()
    if right.counts is not None:
        assert alpha_counts(pixels_of(opened)) == right.counts


def test_every_made_file_has_its_truth_told() -> None:
    """No file lies here without the right answer beside it, and none is left out of the table."""
    told = json.loads((MADE / "truth.json").read_text("utf-8"))["files"]
    lying = {p.name for p in MADE.iterdir() if p.suffix != ".json"}
    assert lying == set(told) == set(RIGHT)
