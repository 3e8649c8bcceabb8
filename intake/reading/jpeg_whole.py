"""A JPEG file that can stand in a PDF byte for byte: which ones can, and how they are put upright there."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import pyvips

from intake.reading.colour import Profile
from intake.reading.header import RasterHeader
from intake.reading.jpeg import segments
from intake.reading.raster_pixels import UPRIGHT, Decoding

_TAKEN = {0xC0, 0xC1, 0xC2}  # baseline, extended and progressive, Huffman coded: what DCTDecode takes
_RGB_NAMES = b"RGB"  # components called so are no YCbCr, which PDF readers don't all know


@dataclass(frozen=True, slots=True)
class WholeJpeg:
    """The file, its stored size, its colours (1 or 3), the profile that they are meant in.

    `matrix`: from the unit square of the stored picture to that of the upright one, y upwards.
    """

    path: Path
    width: int
    height: int
    colours: int
    icc: bytes
    matrix: tuple[int, int, int, int, int, int]


def whole_jpeg(path: Path, header: RasterHeader, profile: Profile) -> WholeJpeg | None:
    """The file as it can stand in a PDF (ISO 32000-1 7.4.8); None when readers would not all take it."""
    with path.open("rb") as stream:
        colours = _colours(stream)
    if colours is None:
        return None
    with Decoding(header.kind):
        image = pyvips.Image.jpegload(str(path))
        icc = image.get("icc-profile-data") if profile.converts else b""
    return WholeJpeg(path, header.width, header.height, colours, icc, _matrix(header.orientation))


def _colours(stream: BinaryIO) -> int | None:
    """How many colours its frame has, when PDF takes such a frame."""
    colours, names, has_adobe = None, b"", False
    for marker, at, length in segments(stream):
        stream.seek(at)
        block = stream.read(min(length, 64))
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            if marker not in _TAKEN or len(block) < 6 or block[0] != 8:
                return None
            colours, names = block[5], block[6::3][: block[5]]
        has_adobe = has_adobe or (marker == 0xEE and block.startswith(b"Adobe"))
    if colours not in (1, 3) or (names == _RGB_NAMES and not has_adobe):
        return None
    return colours


def _matrix(orientation: int) -> tuple[int, int, int, int, int, int]:
    """Mirrored first, then turned clockwise by quarters, as `UPRIGHT` says."""
    turns, is_mirrored = UPRIGHT[orientation]
    a, b, c, d, e, f = (-1, 0, 0, 1, 1, 0) if is_mirrored else (1, 0, 0, 1, 0, 0)
    for _ in range(turns):  # clockwise: (x, y) → (y, 1 - x)
        a, b, c, d, e, f = b, -a, d, -c, f, 1 - e
    return a, b, c, d, e, f
