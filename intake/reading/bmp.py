"""The header of a BMP file (Windows and OS/2 forms)."""

from __future__ import annotations

import struct
from typing import BinaryIO

from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.stored_ppi import from_bmp, put_together

HEADER_SIZES = {12, 16, 40, 52, 56, 64, 108, 124}
_BIT_FIELDS, _ALPHA_BIT_FIELDS = 3, 6


def read_bmp(stream: BinaryIO) -> RasterHeader:
    """The header; alpha only where bit fields declare a mask for it. Raises BrokenHeader."""
    stream.seek(14)
    block = stream.read(124)
    size = struct.unpack("<I", block[:4])[0] if len(block) >= 16 else 0
    if size not in HEADER_SIZES:
        raise BrokenHeader(f"header of {size} bytes")
    if size == 12:
        width, height, _, bits = struct.unpack("<HHHH", block[4:12])
        return _header(width, height, bits, (0, 0), None)
    width, height, _, bits, compression = struct.unpack("<iiHHI", (block + bytes(40))[4:20])
    x, y = struct.unpack("<ii", (block + bytes(40))[24:32]) if size >= 40 else (0, 0)
    has_masks = size >= 56 or compression == _ALPHA_BIT_FIELDS
    mask = struct.unpack("<I", (block + bytes(56))[52:56])[0] if has_masks else 0
    declares = compression in (_BIT_FIELDS, _ALPHA_BIT_FIELDS) and mask != 0
    return _header(width, abs(height), bits, (x, y), 0 if declares else None)


def _header(
    width: int, height: int, bits: int, density: tuple[int, int], alpha_at: int | None
) -> RasterHeader:
    if width < 0:
        raise BrokenHeader("negative width")
    stored = put_together([from_bmp(*density)])
    return RasterHeader(
        kind="BMP",
        width=width,
        height=height,
        stored=stored,
        colour="indexed" if bits <= 8 else "RGB",
        bits=min(bits, 8),
        alpha_at=alpha_at,
        notes=stored.notes,
    )
