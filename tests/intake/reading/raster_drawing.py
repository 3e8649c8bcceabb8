"""Raster files built byte by byte for the tests, so that what they hold is known from the standard alone."""

from __future__ import annotations

import io
import struct
import zlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from config.settings import FileLimits, load_settings
from intake.facts import PrintSize
from intake.reading.opened import OpenArtwork

LIMITS: FileLimits = load_settings(None).limits.file
MADE = Path(__file__).parents[2] / "data" / "artwork"

RATIONAL, SHORT, LONG, BYTES = 5, 3, 4, 1


def png(
    width: int, height: int, bits: int, colour_type: int, rows: bytes, *before: tuple[bytes, bytes]
) -> bytes:
    """A PNG of unfiltered rows (each without its filter byte), with chunks `before` the picture data."""
    step = len(rows) // height
    raw = b"".join(b"\0" + rows[y * step : (y + 1) * step] for y in range(height))
    head = struct.pack(">IIBBBBB", width, height, bits, colour_type, 0, 0, 0)
    chunks = [(b"IHDR", head), *before, (b"IDAT", zlib.compress(raw)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(*c) for c in chunks)


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def phys(x: int, y: int, unit: int) -> tuple[bytes, bytes]:
    """A pHYs chunk."""
    return b"pHYs", struct.pack(">IIB", x, y, unit)


def exif(*entries: tuple[int, int, Any], order: str = ">") -> bytes:
    """An EXIF block (without the marker's own name) of one directory."""
    return _tag_block(list(entries), order)


def photoshop(hres: float, vres: float) -> bytes:
    """An image resource block that holds a resolution (16.16 fixed), after a resource of an odd length."""
    body = struct.pack(">IHHIHH", round(hres * 65536), 1, 1, round(vres * 65536), 1, 1)
    other = b"8BIM" + struct.pack(">H", 1028) + b"\x03odd" + struct.pack(">I", 3) + b"abc\0"
    return other + b"8BIM" + struct.pack(">H", 1005) + b"\0\0" + struct.pack(">I", len(body)) + body


def jpeg(
    picture: Image.Image, *segments: tuple[int, bytes], jfif: tuple[int, int, int] | None = None
) -> bytes:
    """A JPEG with the given segments (marker, body) in front, and a JFIF header only when asked for."""
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=92)
    content = out.getvalue()
    if content[2:4] == b"\xff\xe0":
        content = content[:2] + content[4 + struct.unpack(">H", content[4:6])[0] :]
    parts = [b"\xff\xd8"]
    if jfif is not None:
        body = b"JFIF\0\x01\x02" + struct.pack(">BHHBB", *jfif, 0, 0)
        parts.append(b"\xff\xe0" + struct.pack(">H", len(body) + 2) + body)
    parts += [bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body for marker, body in segments]
    return b"".join(parts) + content[2:]


@dataclass
class Tiff:
    """One page of an uncompressed TIFF in one strip; `tags` are added or override."""

    width: int
    height: int
    pixels: bytes
    samples: int = 3
    bits: int = 8
    photometric: int = 2
    tags: dict[int, tuple[int, Any]] = field(default_factory=dict)


def tiff(*pages: Tiff, order: str = "<", big: bool = False) -> bytes:
    """A TIFF or BigTIFF file of the pages."""
    out = bytearray(b"II" if order == "<" else b"MM")
    out += struct.pack(order + ("HHHQ" if big else "HI"), *((43, 8, 0, 16) if big else (42, 8)))
    for k, page in enumerate(pages):
        is_last = k == len(pages) - 1
        out += _directory(_tiff_entries(page), order, len(out), big, is_last=is_last, pixels=page.pixels)
    return bytes(out)


def _tiff_entries(page: Tiff) -> dict[int, tuple[int, Any]]:
    entries: dict[int, tuple[int, Any]] = {
        256: (LONG, page.width),
        257: (LONG, page.height),
        258: (SHORT, [page.bits] * page.samples),
        259: (SHORT, 1),
        262: (SHORT, page.photometric),
        273: (LONG, 0),  # set when it is known where the strip lies
        277: (SHORT, page.samples),
        278: (LONG, page.height),
        279: (LONG, len(page.pixels)),
        284: (SHORT, 1),
    }
    return entries | page.tags


def _directory(
    entries: dict[int, tuple[int, Any]], order: str, at: int, big: bool, *, is_last: bool, pixels: bytes
) -> bytes:
    """A directory, the values that do not fit into it, and the strip, in this order."""
    inline, count_code, entry_code = (8, "Q", "HHQ") if big else (4, "H", "HHI")
    head = (
        struct.calcsize("<" + count_code)
        + len(entries) * (struct.calcsize("<" + entry_code) + inline)
        + inline
    )
    packed = {tag: _packed(kind, value, order) for tag, (kind, value) in entries.items()}
    aside_bytes = sum(len(raw) + len(raw) % 2 for raw, _ in packed.values() if len(raw) > inline)
    strip_at = at + head + aside_bytes
    if 273 in entries:
        packed[273] = _packed(LONG, strip_at, order)
    rows, aside = b"", b""
    for tag in sorted(packed):
        raw, count = packed[tag]
        rows += struct.pack(order + entry_code, tag, entries[tag][0], count)
        if len(raw) <= inline:
            rows += raw.ljust(inline, b"\0")
        else:
            rows += struct.pack(order + ("Q" if big else "I"), at + head + len(aside))
            aside += raw + b"\0" * (len(raw) % 2)
    following = 0 if is_last else strip_at + len(pixels)
    link = struct.pack(order + ("Q" if big else "I"), following)
    return struct.pack(order + count_code, len(entries)) + rows + link + aside + pixels


def _packed(kind: int, value: Any, order: str) -> tuple[bytes, int]:
    if kind == BYTES:
        return bytes(value), len(value)
    if kind == RATIONAL:
        return struct.pack(order + "II", *value), 1
    values = value if isinstance(value, list) else [value]
    return struct.pack(order + ("H" if kind == SHORT else "I") * len(values), *values), len(values)


def _tag_block(entries: list[tuple[int, int, Any]], order: str) -> bytes:
    head = (b"II" if order == "<" else b"MM") + struct.pack(order + "HI", 42, 8)
    return head + _directory(
        {tag: (kind, value) for tag, kind, value in entries}, order, 8, False, is_last=True, pixels=b""
    )


def pixels_of(opened: OpenArtwork, width_mm: float = 100.0, rows: int = 3) -> NDArray[np.uint8]:
    """All pixels of an opened artwork at its own shape, put together from bands of a few rows."""
    pixels = opened.pixels_at(PrintSize(width_mm, width_mm / opened.artwork.shape))
    whole = np.concatenate(list(pixels.bands(rows)))
    assert whole.shape == (pixels.height, pixels.width, 4)
    return whole


def alpha_counts(rgba: NDArray[np.uint8]) -> tuple[int, int, int]:
    """(clear, half-clear, solid) pixels."""
    alpha = rgba[:, :, 3]
    clear, solid = int((alpha == 0).sum()), int((alpha == 255).sum())
    return clear, alpha.size - clear - solid, solid
