"""The stored resolution is what the standards say that the bytes say, and never a number made up."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from intake.reading import open_artwork
from intake.reading.exif import read_exif
from intake.reading.stored_ppi import (
    Stated,
    StoredPpi,
    find_resource,
    from_jfif,
    from_photoshop,
    from_phys,
    put_together,
    turned,
)
from tests.intake.reading.raster_drawing import (
    LIMITS,
    RATIONAL,
    SHORT,
    Tiff,
    exif,
    jpeg,
    photoshop,
    phys,
    png,
    tiff,
)

X, Y, UNIT, PHOTOSHOP = 282, 283, 296, 34377
PLAIN = Image.new("RGB", (16, 8), "#336699")


@pytest.mark.parametrize(
    ("x", "y", "unit", "ppi"),
    [
        (11811, 11811, 1, (299.9994, 299.9994)),  # 300 dpi as PNG writers store it (W3C PNG 11.3.4.3)
        (2835, 2835, 1, (72.009, 72.009)),
        (11811, 5906, 1, (299.9994, 150.0124)),
        (72, 72, 0, None),
        (0, 0, 1, None),
        (11811, 0, 1, None),
    ],
)
def test_phys_is_pixels_a_metre_or_a_shape(
    x: int, y: int, unit: int, ppi: tuple[float, float] | None
) -> None:
    """Unit 1 is the metre; without it, or with a zero, there is no resolution."""
    assert from_phys(x, y, unit).ppi == (None if ppi is None else pytest.approx(ppi, abs=1e-4))


@pytest.mark.parametrize(
    ("unit", "x", "y", "ppi"),
    [
        (1, 300, 300, (300, 300)),
        (2, 118, 118, (299.72, 299.72)),
        (0, 1, 1, None),
        (2, 0, 0, None),
        (7, 9, 9, None),
    ],
)
def test_jfif_density_by_its_unit(unit: int, x: int, y: int, ppi: tuple[float, float] | None) -> None:
    """1 inch, 2 cm, anything else no resolution (ITU-T T.871, 10.1)."""
    assert from_jfif(unit, x, y).ppi == (None if ppi is None else pytest.approx(ppi))


@pytest.mark.parametrize(
    ("entries", "ppi"),
    [
        ([(X, RATIONAL, (300, 1)), (Y, RATIONAL, (150, 1)), (UNIT, SHORT, 2)], (300, 150)),
        ([(X, RATIONAL, (300, 1)), (Y, RATIONAL, (300, 1))], (300, 300)),  # unit missing: inch
        ([(X, RATIONAL, (11811, 100)), (Y, RATIONAL, (11811, 100)), (UNIT, SHORT, 3)], (299.9994, 299.9994)),
        ([(X, RATIONAL, (300, 1)), (Y, RATIONAL, (300, 1)), (UNIT, SHORT, 1)], None),
        ([(X, RATIONAL, (0, 0)), (Y, RATIONAL, (0, 0)), (UNIT, SHORT, 2)], None),
        ([(X, RATIONAL, (300, 0)), (Y, RATIONAL, (300, 0))], None),
        ([(X, RATIONAL, (0, 1)), (Y, RATIONAL, (0, 1))], None),
        ([(X, RATIONAL, (240, 1))], (240, 240)),
        ([(274, SHORT, 6)], None),
        ([(X, SHORT, 300), (Y, SHORT, 300)], (300, 300)),
    ],
)
@pytest.mark.parametrize("order", ["<", ">"])
def test_exif_and_tiff_tags_say_the_same(
    tmp_path: Path, entries: list[tuple[int, int, object]], ppi: tuple[float, float] | None, order: str
) -> None:
    """Each combination of fraction and unit, in both byte orders, in EXIF and in a TIFF (section 8)."""
    stated = read_exif(exif(*entries, order=order)).stated
    right = None if ppi is None else pytest.approx(ppi, abs=1e-3)
    assert (stated.ppi if stated else None) == right
    page = Tiff(4, 3, bytes(36), tags={tag: (kind, value) for tag, kind, value in entries if tag != 274})
    (tmp_path / "a.tif").write_bytes(tiff(page, order=order))
    artwork = open_artwork(tmp_path / "a.tif", 1, LIMITS).artwork
    assert artwork.stored_ppi == right
    assert artwork.stored_ppi_from == ("TIFF" if ppi else "")


def test_photoshops_own_resource_is_always_pixels_an_inch(tmp_path: Path) -> None:
    """Resource 1005 alone gives the resolution, in a JPEG and in a TIFF, behind resources of odd lengths."""
    block = photoshop(240.5, 120.25)
    (tmp_path / "a.jpg").write_bytes(jpeg(PLAIN, (0xED, b"Photoshop 3.0\0" + block)))
    (tmp_path / "a.tif").write_bytes(tiff(Tiff(4, 3, bytes(36), tags={PHOTOSHOP: (1, block)})))
    for name in ("a.jpg", "a.tif"):
        artwork = open_artwork(tmp_path / name, 1, LIMITS).artwork
        assert (artwork.stored_ppi, artwork.stored_ppi_from) == ((240.5, 120.25), "8BIM")


def test_a_long_resource_block_goes_on_in_the_next_segment(tmp_path: Path) -> None:
    """Several APP13 segments are one block, wherever the cut falls."""
    block = photoshop(300, 300)
    first, second = block[:30], block[30:]
    parts = [(0xED, b"Photoshop 3.0\0" + part) for part in (first, second)]
    (tmp_path / "a.jpg").write_bytes(jpeg(PLAIN, *parts))
    assert open_artwork(tmp_path / "a.jpg", 1, LIMITS).artwork.stored_ppi == (300.0, 300.0)


@pytest.mark.parametrize(
    ("jfif", "in_exif", "in_8bim", "source"),
    [
        ((1, 300, 300), 300, 300, "JFIF"),
        ((1, 72, 72), 300, None, "conflict"),
        ((0, 1, 1), 300, None, "EXIF"),
        (None, 300, 144, "conflict"),
        ((2, 118, 118), 300, None, "JFIF"),  # 299.72: whole numbers only, so they agree
        ((1, 72, 72), None, None, "JFIF"),
        ((0, 1, 1), None, 200, "8BIM"),
    ],
)
def test_sources_that_disagree_are_a_conflict(
    tmp_path: Path, jfif: tuple[int, int, int] | None, in_exif: int | None, in_8bim: int | None, source: str
) -> None:
    """Never silently one of two; those that agree are one."""
    parts = []
    if in_exif:
        tags = ((X, RATIONAL, (in_exif, 1)), (Y, RATIONAL, (in_exif, 1)), (UNIT, SHORT, 2))
        parts.append((0xE1, b"Exif\0\0" + exif(*tags)))
    if in_8bim:
        parts.append((0xED, b"Photoshop 3.0\0" + photoshop(in_8bim, in_8bim)))
    (tmp_path / "a.jpg").write_bytes(jpeg(PLAIN, *parts, jfif=jfif))
    artwork = open_artwork(tmp_path / "a.jpg", 1, LIMITS).artwork
    assert artwork.stored_ppi_from == source
    assert (artwork.stored_ppi is None) == (source == "conflict")
    assert any("different resolutions" in note for note in artwork.notes) == (source == "conflict")


def test_a_png_may_state_its_resolution_in_exif_too(tmp_path: Path) -> None:
    """pHYs and eXIf that disagree are a conflict like any other."""
    tags = ((X, RATIONAL, (300, 1)), (Y, RATIONAL, (300, 1)), (UNIT, SHORT, 2))
    with_exif = (b"eXIf", exif(*tags))
    rows = bytes(12)
    (tmp_path / "a.png").write_bytes(png(2, 2, 8, 2, rows, with_exif))
    (tmp_path / "b.png").write_bytes(png(2, 2, 8, 2, rows, phys(2835, 2835, 1), with_exif))
    assert open_artwork(tmp_path / "a.png", 1, LIMITS).artwork.stored_ppi_from == "EXIF"
    assert open_artwork(tmp_path / "b.png", 1, LIMITS).artwork.stored_ppi_from == "conflict"


def test_a_shape_of_pixels_that_no_scanner_makes_is_a_slip() -> None:
    """44 × 300 is a writer's mistake, told and not followed; a fax's 204 × 98 is followed."""
    slip = put_together([Stated("EXIF", (44.0, 300.0), 300 / 44)])
    assert (slip.ppi, slip.pixel_shape) == ((44.0, 300.0), 1.0)
    assert "slip" in slip.notes[0]
    fax = put_together([Stated("TIFF", (204.0, 98.0), 98 / 204)])
    assert fax.pixel_shape == pytest.approx(98 / 204)


@given(st.floats(1, 5000), st.floats(1, 5000))
def test_a_quarter_turn_swaps_both_and_two_give_it_back(x: float, y: float) -> None:
    """Turning twice is as if nothing had happened."""
    stored = StoredPpi((x, y), "TIFF", y / x)
    assert turned(stored).ppi == (y, x)
    back = turned(turned(stored))
    assert back.ppi == stored.ppi
    assert back.pixel_shape == pytest.approx(stored.pixel_shape)


@given(st.binary(max_size=200))
def test_any_bytes_as_exif_or_resources_are_borne(content: bytes) -> None:
    """Rubbish says nothing; it never raises."""
    for block in (content, b"II*\0" + content, b"MM\0*\0\0\0\x08" + content):
        assert 1 <= read_exif(block).orientation <= 8
    from_photoshop(content)
    find_resource(b"8BIM" + content, 1005)


def test_a_directory_that_claims_more_entries_than_there_are_is_read_as_far_as_it_goes() -> None:
    """Some cameras and converters count wrong; what is there still counts."""
    block = bytearray(exif((X, RATIONAL, (72, 1)), (Y, RATIONAL, (72, 1)), (UNIT, SHORT, 2)))
    block[8:10] = struct.pack(">H", 32)
    stated = read_exif(bytes(block)).stated
    assert stated is not None
    assert stated.ppi == (72.0, 72.0)


def test_bmp_states_pixels_a_metre(tmp_path: Path) -> None:
    """The header's two numbers, each on its own."""
    held = io.BytesIO()
    PLAIN.save(held, "BMP")
    content = bytearray(held.getvalue())
    content[38:46] = struct.pack("<ii", 11811, 5906)
    (tmp_path / "a.bmp").write_bytes(content)
    artwork = open_artwork(tmp_path / "a.bmp", 1, LIMITS).artwork
    assert artwork.stored_ppi == pytest.approx((299.9994, 150.0124), abs=1e-3)
    assert artwork.stored_ppi_from == "BMP"
