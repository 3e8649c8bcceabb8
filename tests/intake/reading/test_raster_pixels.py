"""Pixels come out upright, straight, in sRGB, with the transparency of their own depth, whatever the file."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageOps

from intake.facts import PrintSize
from intake.reading import open_artwork
from intake.reading.raster import wanted_pixels
from tests.intake.reading.raster_drawing import (
    LIMITS,
    RATIONAL,
    SHORT,
    Tiff,
    alpha_counts,
    exif,
    jpeg,
    pixels_of,
    png,
    tiff,
)

ORIENTATION, X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT, EXTRA_SAMPLES = 274, 282, 283, 296, 338


def gradient(width: int, height: int) -> np.ndarray:
    """RGB pixels that are all different, so that no turn or mirror goes unseen."""
    y, x = np.mgrid[0:height, 0:width]
    return np.stack([x * 5, y * 7, x + y], axis=-1).astype(np.uint8)


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WebP"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_turned_picture_comes_out_upright_once(tmp_path: Path, kind: str, orientation: int) -> None:
    """All eight orientations of EXIF and TIFF, against Pillow's own turning of the plain picture."""
    rgb = gradient(30, 20)
    picture = Image.fromarray(rgb)
    path = tmp_path / "art"
    if kind == "TIFF":
        path.write_bytes(tiff(Tiff(30, 20, rgb.tobytes(), tags={ORIENTATION: (SHORT, orientation)})))
    else:
        block = b"Exif\0\0" + exif((ORIENTATION, SHORT, orientation))
        picture.save(path, kind, exif=block, lossless=True)
    tag = Image.Exif()
    tag[ORIENTATION] = orientation
    held = io.BytesIO()
    picture.save(held, "PNG", exif=tag)
    right = ImageOps.exif_transpose(Image.open(held))
    opened = open_artwork(path, 1, LIMITS)
    assert opened.artwork.pixels == right.size
    assert np.array_equal(pixels_of(opened)[:, :, :3], np.asarray(right.convert("RGB")))


def test_a_turned_jpeg_swaps_size_and_both_resolutions(tmp_path: Path) -> None:
    """Orientation 6 of a 40 × 20 picture at 300 × 150: upright 20 × 40 at 150 × 300."""
    tags = ((ORIENTATION, SHORT, 6), (X_RESOLUTION, RATIONAL, (300, 1)), (Y_RESOLUTION, RATIONAL, (150, 1)))
    block = b"Exif\0\0" + exif(*tags, (RESOLUTION_UNIT, SHORT, 2))
    (tmp_path / "a").write_bytes(jpeg(Image.fromarray(gradient(40, 20)), (0xE1, block)))
    artwork = open_artwork(tmp_path / "a", 1, LIMITS).artwork
    assert (artwork.pixels, artwork.stored_ppi) == ((20, 40), (150.0, 300.0))
    # 20/150 by 40/300 inches is a square
    assert artwork.shape == pytest.approx(1.0)


@pytest.mark.parametrize("rows", [1, 3, 100, 256])
@pytest.mark.parametrize("compression", ["tiff_lzw", "tiff_deflate", "raw"])
def test_bands_of_any_height_are_the_same_picture(tmp_path: Path, rows: int, compression: str) -> None:
    """Bands that end inside the file's own strips lose no row (strips of 100 rows here)."""
    rgba = np.random.default_rng(1).integers(0, 256, (530, 64, 4)).astype(np.uint8)
    Image.fromarray(rgba).save(tmp_path / "a.tif", compression=compression, tiffinfo={278: 100})
    assert np.array_equal(pixels_of(open_artwork(tmp_path / "a.tif", 1, LIMITS), rows=rows), rgba)


def test_pixels_can_be_read_more_than_once(tmp_path: Path) -> None:
    """A second pass over the same pixels gives the same picture."""
    Image.fromarray(gradient(50, 40)).save(tmp_path / "a.png")
    opened = open_artwork(tmp_path / "a.png", 1, LIMITS)
    pixels = opened.pixels_at(PrintSize(50.0, 40.0))
    once, twice = (np.concatenate(list(pixels.bands(16))) for _ in range(2))
    assert np.array_equal(once, twice)


def test_sixteen_bit_transparency_is_judged_at_sixteen_bits(tmp_path: Path) -> None:
    """200 and 65400 of 65535 are neither clear nor solid: cut to 8 bits they would be both."""
    rows = struct.pack(">16H", *[9, 9, 9, 0, 9, 9, 9, 200, 9, 9, 9, 65400, 9, 9, 9, 65535])
    (tmp_path / "a.png").write_bytes(png(4, 1, 16, 6, rows))
    opened = open_artwork(tmp_path / "a.png", 1, LIMITS)
    assert opened.artwork.bits == 16
    assert alpha_counts(pixels_of(opened)) == (1, 2, 1)


def test_a_colour_key_of_sixteen_bits_matches_exactly(tmp_path: Path) -> None:
    """RGB tRNS 257, 0, 0: pixels 256, 0, 0 and 258, 0, 0 are near it and stay solid (W3C PNG 11.3.2.1)."""
    rows = struct.pack(">12H", 257, 0, 0, 256, 0, 0, 258, 0, 0, 257, 0, 1)
    (tmp_path / "a.png").write_bytes(png(4, 1, 16, 2, rows, (b"tRNS", struct.pack(">HHH", 257, 0, 0))))
    assert alpha_counts(pixels_of(open_artwork(tmp_path / "a.png", 1, LIMITS))) == (1, 0, 3)


def test_a_grey_colour_key_uses_only_the_bits_of_its_depth(tmp_path: Path) -> None:
    """1-bit grey with tRNS 0x00FF: masked to one bit the key is 1, white (W3C PNG 11.3.2.1)."""
    (tmp_path / "a.png").write_bytes(png(8, 1, 1, 0, bytes([0b11100000]), (b"tRNS", b"\x00\xff")))
    rgba = pixels_of(open_artwork(tmp_path / "a.png", 1, LIMITS))
    assert alpha_counts(rgba) == (3, 0, 5)


def test_premultiplied_colours_are_told_straight(tmp_path: Path) -> None:
    """TIFF ExtraSamples 1: 100, 50, 25 under alpha 128 is 199, 100, 50 (TIFF 6.0, section 18)."""
    stored = bytes([100, 50, 25, 128, 0, 0, 0, 0, 7, 8, 9, 255])
    page = Tiff(3, 1, stored, samples=4, tags={EXTRA_SAMPLES: (SHORT, 1)})
    (tmp_path / "a.tif").write_bytes(tiff(page))
    rgba = pixels_of(open_artwork(tmp_path / "a.tif", 1, LIMITS))
    assert rgba[0, 0].tolist() == pytest.approx([199, 100, 50, 128], abs=1)
    assert rgba[0, 2].tolist() == [7, 8, 9, 255]


def test_the_same_samples_unassociated_stay_as_they_are(tmp_path: Path) -> None:
    """TIFF ExtraSamples 2 stores straight colours."""
    page = Tiff(1, 1, bytes([100, 50, 25, 128]), samples=4, tags={EXTRA_SAMPLES: (SHORT, 2)})
    (tmp_path / "a.tif").write_bytes(tiff(page))
    assert pixels_of(open_artwork(tmp_path / "a.tif", 1, LIMITS))[0, 0].tolist() == [100, 50, 25, 128]


def test_cmyk_with_transparency_keeps_both(tmp_path: Path) -> None:
    """Four inks and an unassociated fifth sample: paper white stays light, black dark, alpha as stored."""
    stored = bytes([0, 0, 0, 0, 255, 0, 0, 0, 255, 255, 0, 0, 0, 0, 0])
    page = Tiff(3, 1, stored, samples=5, photometric=5, tags={EXTRA_SAMPLES: (SHORT, 2)})
    (tmp_path / "a.tif").write_bytes(tiff(page))
    opened = open_artwork(tmp_path / "a.tif", 1, LIMITS)
    rgba = pixels_of(opened)
    assert opened.artwork.colour == "CMYK"
    assert rgba[0, :, 3].tolist() == [255, 255, 0]
    assert rgba[0, 0, :3].min() > 240
    assert rgba[0, 1, :3].max() < 80


def test_a_cmyk_jpeg_with_an_adobe_marker_is_not_inverted(tmp_path: Path) -> None:
    """Paper white of an Adobe CMYK JPEG comes out light, full black dark (APP14: ITU-T T.872, 6.5.3)."""
    picture = Image.new("CMYK", (32, 16), (0, 0, 0, 0))
    picture.paste((0, 0, 0, 255), (16, 0, 32, 16))
    picture.save(tmp_path / "a.jpg", quality=95)
    opened = open_artwork(tmp_path / "a.jpg", 1, LIMITS)
    rgba = pixels_of(opened)
    assert rgba[8, 4, :3].min() > 240
    assert rgba[8, 28, :3].max() < 80
    assert not any("full ink" in note for note in opened.artwork.notes)


def test_colours_are_read_through_the_files_own_profile(tmp_path: Path) -> None:
    """A picture with a profile of its own comes out as littleCMS converts it to sRGB (within rounding)."""
    swapped = _profile_with_swapped_primaries()
    picture = Image.fromarray(gradient(40, 30))
    picture.save(tmp_path / "a.png", icc_profile=swapped)
    right = ImageCms.profileToProfile(
        picture,
        ImageCms.ImageCmsProfile(io.BytesIO(swapped)),
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )
    assert right is not None
    rgba = pixels_of(open_artwork(tmp_path / "a.png", 1, LIMITS))
    assert np.abs(rgba[:, :, :3].astype(int) - np.asarray(right).astype(int)).max() <= 2
    assert np.abs(rgba[:, :, :3].astype(int) - np.asarray(picture).astype(int)).max() > 50


def test_a_profile_that_is_srgb_by_another_name_changes_nothing(tmp_path: Path) -> None:
    """Most files carry an sRGB profile: their pixels stay bit for bit."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture = Image.fromarray(gradient(40, 30))
    picture.save(tmp_path / "a.png", icc_profile=srgb)
    opened = open_artwork(tmp_path / "a.png", 1, LIMITS)
    assert np.array_equal(pixels_of(opened)[:, :, :3], np.asarray(picture))
    assert opened.artwork.extra["icc_used"] is False


def test_a_profile_for_another_kind_of_colour_is_left_aside_and_named(tmp_path: Path) -> None:
    """An RGB profile in a four-ink picture would turn its colours upside down."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    Image.new("CMYK", (16, 16), (0, 0, 0, 0)).save(tmp_path / "a.jpg", icc_profile=srgb, quality=95)
    opened = open_artwork(tmp_path / "a.jpg", 1, LIMITS)
    assert pixels_of(opened)[8, 8, :3].min() > 240
    assert any("another kind of colour" in note for note in opened.artwork.notes)


@pytest.mark.parametrize("cut", [10, 100, 130, 400])
def test_a_broken_profile_is_left_aside_and_named(tmp_path: Path, cut: int) -> None:
    """The picture is read as it is, with a remark."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    Image.fromarray(gradient(16, 16)).save(tmp_path / "a.png", icc_profile=srgb[:cut])
    opened = open_artwork(tmp_path / "a.png", 1, LIMITS)
    assert np.array_equal(pixels_of(opened)[:, :, :3], gradient(16, 16))
    assert any("profile" in note for note in opened.artwork.notes)


@settings(max_examples=12, deadline=None)
@given(x=st.integers(100, 290), y=st.integers(100, 290))
def test_pixels_that_are_not_square_are_made_square_for_measuring(
    tmp_path_factory: pytest.TempPathFactory, x: int, y: int
) -> None:
    """The picture keeps the stated shape; measured pixels are as wide as high, within a pixel of it all."""
    path = tmp_path_factory.mktemp("nonsquare") / "a.tif"
    tags = {X_RESOLUTION: (RATIONAL, (x, 1)), Y_RESOLUTION: (RATIONAL, (y, 1)), RESOLUTION_UNIT: (SHORT, 2)}
    path.write_bytes(tiff(Tiff(40, 30, gradient(40, 30).tobytes(), tags=tags)))
    opened = open_artwork(path, 1, LIMITS)
    shape = (40 / x) / (30 / y) if abs(y / x - 1) > 0.01 else 40 / 30
    assert opened.artwork.shape == pytest.approx(shape)
    pixels = opened.pixels_at(PrintSize(100.0, 100.0 / shape))
    assert abs(pixels.width / shape - pixels.height) <= 1.0 + pixels.width * 0.002
    assert sum(len(band) for band in pixels.bands(7)) == pixels.height
    assert min(pixels.width / 40, pixels.height / 30) >= 0.99


def test_making_pixels_square_leaves_no_fringe(tmp_path: Path) -> None:
    """Clear pixels' colour (black here) does not darken the red beside them."""
    rgba = np.zeros((20, 20, 4), np.uint8)
    rgba[5:15, 5:15] = (255, 0, 0, 255)
    tags = {
        X_RESOLUTION: (RATIONAL, (300, 1)),
        Y_RESOLUTION: (RATIONAL, (150, 1)),
        RESOLUTION_UNIT: (SHORT, 2),
    }
    page = Tiff(20, 20, rgba.tobytes(), samples=4, tags=tags | {EXTRA_SAMPLES: (SHORT, 2)})
    (tmp_path / "a.tif").write_bytes(tiff(page))
    whole = pixels_of(open_artwork(tmp_path / "a.tif", 1, LIMITS))
    inked = whole[whole[:, :, 3] > 30]
    assert whole.shape == (40, 20, 4)
    assert inked[:, 0].min() >= 250
    assert inked[:, 1:3].max() <= 2


@pytest.mark.parametrize(
    ("width_mm", "wanted"),
    [
        (100.0, (4000, 2000)),  # 1,016 ppi: as it is
        (50.0, (2362, 1181)),  # 2,032 ppi: brought to 1,200
        (1.0, (47, 24)),
        (0.001, (1, 1)),
    ],
)
def test_pixels_finer_than_any_printer_are_averaged(width_mm: float, wanted: tuple[int, int]) -> None:
    """At most 1,200 an inch are measured: a large picture on a small print takes no longer."""
    assert wanted_pixels((4000, 2000), PrintSize(width_mm, width_mm / 2), LIMITS) == wanted


@pytest.mark.parametrize("rows", [5, 256])
def test_averaging_keeps_areas_and_leaves_no_halo(tmp_path: Path, rows: int) -> None:
    """A red square on clear ground: its area stays within 1 %, its colour pure, the ground clear."""
    rgba = np.zeros((3000, 3000, 4), np.uint8)
    rgba[1000:2000, 500:1500] = (255, 0, 0, 255)
    Image.fromarray(rgba).save(tmp_path / "a.png", compress_level=1)
    whole = pixels_of(open_artwork(tmp_path / "a.png", 1, LIMITS), width_mm=10.0, rows=rows)
    side = round(10 / 25.4 * 1200)
    assert whole.shape[:2] == (side, side)
    assert whole[:, :, 3].sum() / 255 == pytest.approx(side * side / 9, rel=0.01)
    assert whole[whole[:, :, 3] > 0][:, 0].min() >= 250
    edge = round(side / 3)
    assert whole[: edge - 4, :, 3].max() == 0
    assert whole[edge + 4 : 2 * edge - 8, edge, 3].min() == 255


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("big", [False, True])
def test_each_page_of_a_tiff_is_its_own_picture(tmp_path: Path, order: str, big: bool) -> None:
    """Classic and BigTIFF in both byte orders; a smaller copy of a page (sub-file type 1) is no page."""
    red, green = bytes([255, 0, 0]) * 12, bytes([0, 255, 0]) * 20
    small = Tiff(1, 1, bytes(3), tags={254: (SHORT, 1)})
    (tmp_path / "a.tif").write_bytes(tiff(Tiff(4, 3, red), small, Tiff(5, 4, green), order=order, big=big))
    first, second = (open_artwork(tmp_path / "a.tif", page, LIMITS) for page in (1, 2))
    assert (first.artwork.pages, first.artwork.pixels, second.artwork.pixels) == (2, (4, 3), (5, 4))
    assert pixels_of(first)[0, 0].tolist() == [255, 0, 0, 255]
    assert pixels_of(second)[0, 0].tolist() == [0, 255, 0, 255]


def test_a_gif_frame_smaller_than_its_canvas_leaves_the_rest_clear(tmp_path: Path) -> None:
    """The canvas outside the first frame is transparent."""
    Image.new("P", (4, 2), 1).save(tmp_path / "a.gif")
    content = bytearray((tmp_path / "a.gif").read_bytes())
    content[6:10] = struct.pack("<HH", 10, 8)
    (tmp_path / "a.gif").write_bytes(content)
    opened = open_artwork(tmp_path / "a.gif", 1, LIMITS)
    assert opened.artwork.pixels == (10, 8)
    assert alpha_counts(pixels_of(opened)) == (72, 0, 8)


@pytest.mark.parametrize(("kind", "options"), [("GIF", {}), ("WebP", {"lossless": True}), ("PNG", {})])
def test_of_an_animation_the_first_picture_is_looked_at(
    tmp_path: Path, kind: str, options: dict[str, bool]
) -> None:
    """The number of frames is told, with a remark, and the first is measured."""
    frames = [Image.new("RGB", (6, 4), c) for c in ("#ff0000", "#00ff00", "#0000ff")]
    frames[0].save(tmp_path / "a", kind, save_all=True, append_images=frames[1:], **options)
    opened = open_artwork(tmp_path / "a", 1, LIMITS)
    assert (opened.artwork.frames, opened.artwork.pages) == (3, 1)
    assert any("animation of 3" in note for note in opened.artwork.notes)
    assert pixels_of(opened)[0, 0].tolist() == [255, 0, 0, 255]


def _profile_with_swapped_primaries() -> bytes:
    """An sRGB profile whose red and green primaries have changed places (ICC.1:2022, 7.3: the tag table)."""
    icc = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = struct.unpack(">I", icc[128:132])[0]
    at = {bytes(icc[132 + k * 12 : 136 + k * 12]): 132 + k * 12 for k in range(count)}
    red, green = at[b"rXYZ"], at[b"gXYZ"]
    icc[red : red + 4], icc[green : green + 4] = b"gXYZ", b"rXYZ"
    return bytes(icc)
