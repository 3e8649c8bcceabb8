"""HEIC and AVIF: sizes from their boxes, turned once, transparency, and bombs that are never decoded."""

from __future__ import annotations

import contextlib
import io
import struct
from pathlib import Path

import numpy as np
import pytest
import pyvips
from numpy.typing import NDArray

from intake.facts import PrintSize
from intake.reading import kind_of, looks_unfinished, open_artwork
from intake.reading.header import BrokenHeader
from intake.reading.heif_header import read_heif
from tests.intake.reading.raster_drawing import LIMITS, alpha_counts, pixels_of
from tickets.problems import ArtworkRefused

MADE = Path(__file__).parents[2] / "data" / "artwork_heif"


def avif(path: Path, picture: NDArray[np.uint8]) -> Path:
    """An AVIF of the picture, lossless."""
    image = pyvips.Image.new_from_array(picture).copy(interpretation="srgb")
    image.heifsave(str(path), compression="av1", lossless=True, keep="none")
    return path


def boxed(name: bytes, *parts: bytes) -> bytes:
    """One box."""
    body = b"".join(parts)
    return struct.pack(">I4s", 8 + len(body), name) + body


def container(*properties: bytes, brand: bytes = b"avif") -> bytes:
    """A file whose primary picture, item 1, has these properties and no data."""
    pitm = boxed(b"pitm", bytes(4), struct.pack(">H", 1))
    listed = bytes([len(properties), *range(1, len(properties) + 1)])
    ipma = boxed(b"ipma", bytes(4), struct.pack(">IH", 1, 1), listed)
    iprp = boxed(b"iprp", boxed(b"ipco", *properties), ipma)
    return boxed(b"ftyp", brand, bytes(4), b"mif1", brand) + boxed(b"meta", bytes(4), pitm, iprp)


def ispe(width: int, height: int) -> bytes:
    """A size property."""
    return boxed(b"ispe", bytes(4), struct.pack(">II", width, height))


def test_a_telephone_picture_is_turned_once() -> None:
    """By its own box; the EXIF orientation beside it is not applied again. Its resolution is the EXIF's."""
    opened = open_artwork(MADE / "turned.heic", 1, LIMITS)
    seen = pixels_of(opened, rows=16)
    assert opened.artwork.pixels == (48, 64)
    assert seen.shape[:2] == (64, 48)
    assert opened.artwork.stored_ppi == (240, 240)
    assert opened.artwork.stored_ppi_from == "EXIF"
    top, bottom = seen[20, 24], seen[44, 24]
    assert top[0] > 150 > top[2]
    assert bottom[2] > 150 > bottom[0]


def test_transparency_of_heic_is_read() -> None:
    """An auxiliary picture of the kind "alpha"."""
    opened = open_artwork(MADE / "alpha.heic", 1, LIMITS)
    seen = pixels_of(opened, rows=64)
    assert opened.artwork.has_alpha
    assert opened.artwork.pixels == (64, 48)
    assert (seen[0, 0, 3], seen[20, 20, 3]) == (0, 255)


def test_avif_is_read_with_its_transparency(tmp_path: Path) -> None:
    """Counts of clear, half clear and solid pixels are those that were written."""
    rng = np.random.default_rng(3)
    picture = rng.integers(0, 256, (24, 32, 4)).astype(np.uint8)
    picture[:8, :, 3], picture[8:12, :, 3], picture[12:, :, 3] = 0, 128, 255
    opened = open_artwork(avif(tmp_path / "a.avif", picture), 1, LIMITS)
    assert opened.artwork.kind == "AVIF"
    assert opened.artwork.pixels == (32, 24)
    assert opened.artwork.stored_ppi is None
    assert alpha_counts(pixels_of(opened, rows=7)) == (256, 128, 384)


def test_a_photo_without_transparency_says_so(tmp_path: Path) -> None:
    """No channel, none told."""
    opened = open_artwork(avif(tmp_path / "a.avif", np.full((16, 16, 3), 99, np.uint8)), 1, LIMITS)
    assert not opened.artwork.has_alpha
    assert opened.artwork.lossy


@pytest.mark.parametrize("brand", [b"avif", b"heic"])
def test_a_bomb_is_refused_from_its_boxes(brand: bytes, tmp_path: Path) -> None:
    """17,000 × 17,000 px in two hundred bytes: nothing is decoded."""
    path = tmp_path / "a"
    path.write_bytes(container(ispe(17_000, 17_000), brand=brand))
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(path, 1, LIMITS)
    assert told.value.slug == "too-many-pixels"


def test_a_bomb_among_the_tiles_is_refused(tmp_path: Path) -> None:
    """A small picture put together from an enormous one."""
    path = tmp_path / "a"
    path.write_bytes(container(ispe(64, 64), ispe(60_000, 60_000)))
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(path, 1, LIMITS)
    assert told.value.slug == "too-many-pixels"


@pytest.mark.parametrize(
    ("more", "upright"),
    [
        ((), (60, 40)),
        ((boxed(b"irot", b"\1"),), (40, 60)),
        ((boxed(b"irot", b"\2"),), (60, 40)),
        ((boxed(b"clap", struct.pack(">8I", 50, 1, 30, 1, 0, 1, 0, 1)),), (50, 30)),
        ((boxed(b"clap", struct.pack(">8I", 50, 1, 30, 1, 0, 1, 0, 1)), boxed(b"irot", b"\3")), (30, 50)),
        ((boxed(b"clap", struct.pack(">8I", 50, 0, 30, 0, 0, 1, 0, 1)),), (60, 40)),
    ],
)
def test_cuts_and_turns_are_applied_as_listed(more: tuple[bytes, ...], upright: tuple[int, int]) -> None:
    """The size that a person sees."""
    assert read_heif(io.BytesIO(container(ispe(60, 40), *more))).upright == upright


@pytest.mark.parametrize("share", [0.1, 0.3, 0.6, 0.95])
def test_a_picture_cut_short_is_told_as_such(share: float, tmp_path: Path) -> None:
    """An upload that stopped."""
    data = (MADE / "alpha.heic").read_bytes()
    path = tmp_path / "a.heic"
    path.write_bytes(data[: int(len(data) * share)])
    assert looks_unfinished(path) is not None
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(path, 1, LIMITS)
    assert told.value.slug == "file-cut-short"


def test_whole_pictures_are_not_called_unfinished() -> None:
    """Neither of them."""
    assert [looks_unfinished(path) for path in sorted(MADE.glob("*.heic"))] == [None, None]


@pytest.mark.parametrize(
    "data",
    [
        boxed(b"ftyp", b"avif", bytes(4)),
        container(),
        container(boxed(b"ispe", bytes(6))),
        boxed(b"ftyp", b"avif", bytes(4)) + struct.pack(">I4s", 4, b"meta"),
        boxed(b"ftyp", b"avif", bytes(4)) + boxed(b"meta", bytes(4), struct.pack(">I4s", 90, b"iprp")),
    ],
)
def test_boxes_that_make_no_sense_are_a_broken_header(data: bytes) -> None:
    """One kind of error, whatever is wrong."""
    with pytest.raises(BrokenHeader):
        read_heif(io.BytesIO(data))


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf", "AVIF"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"),
        (b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic", "HEIC"),
        (b"\0\0\0\x18ftypmif1\0\0\0\0mif1avif", "AVIF"),
        (b"\0\0\0\x18ftypisom\0\0\0\0isomavif", None),
    ],
)
def test_brands_decide_the_kind(head: bytes, kind: str | None, tmp_path: Path) -> None:
    """The major brand, else the first compatible one that tells; a film is none."""
    (tmp_path / "a").write_bytes(head)
    assert kind_of(tmp_path / "a") == kind


def test_the_print_size_decides_the_resolution() -> None:
    """Pixels finer than needed are averaged, like those of any picture."""
    opened = open_artwork(MADE / "alpha.heic", 1, LIMITS)
    assert opened.pixels_at(PrintSize(0.5, 0.375)).width < 64


@pytest.mark.parametrize("at", [b"ispe", b"clap", b"hvcC", b"iloc", b"ipma", b"auxC", b"pitm"])
@pytest.mark.parametrize("change", [b"\0\0\0\0", b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\0\0\0\1"])
def test_changed_boxes_end_in_a_picture_or_a_refusal(at: bytes, change: bytes, tmp_path: Path) -> None:
    """Found by breaking pictures: sizes of nothing and odd numbers are damage, no want of memory."""
    data = (MADE / "alpha.heic").read_bytes()
    for shift in (4, 8, 12, 16):
        place = data.index(at) + shift
        (tmp_path / "a.heic").write_bytes(data[:place] + change + data[place + 4 :])
        with contextlib.suppress(ArtworkRefused):
            assert pixels_of(open_artwork(tmp_path / "a.heic", 1, LIMITS), rows=64).size


@pytest.mark.parametrize("length", [b"\0\0\0\1", b"\0\0\0\2", b"\0\0\0\0", b"\x80\0\0\0"])
def test_lengths_beyond_any_file_end_the_boxes(length: bytes, tmp_path: Path) -> None:
    """The first box says that it is shorter than its own head, or longer than a disk."""
    data = length + (MADE / "alpha.heic").read_bytes()[4:8] + b"\xff" * 8 + bytes(40)
    (tmp_path / "a.heic").write_bytes(length + b"ftypheic" + data)
    with pytest.raises(ArtworkRefused):
        open_artwork(tmp_path / "a.heic", 1, LIMITS)
