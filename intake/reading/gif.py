"""The header of a GIF file: its canvas and every frame's own claim to it (GIF89a specification)."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import BinaryIO

from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.stored_ppi import StoredPpi

_MOST_FRAMES = 100_000
_COLOUR_KEY = 0x01


@dataclass(slots=True)
class GifFrames:
    """What a walk over the blocks found; `is_whole` when it came to the trailer."""

    frames: int = 0
    is_whole: bool = False
    first_sees_through: bool = False
    far_right: int = 0
    far_bottom: int = 0
    first_fills: bool = False


def walk_gif(stream: BinaryIO) -> GifFrames:
    """Walk the blocks to the trailer, without decoding. Raises BrokenHeader on a header that is none."""
    head = _whole(stream, 0, 13)
    width, height, flags = struct.unpack("<HHB", head[6:11])
    found = GifFrames()
    at = 13 + _table_bytes(flags)
    has_key = False
    while found.frames < _MOST_FRAMES:
        stream.seek(at)
        introducer = stream.read(2)
        if introducer[:1] == b"\x3b":
            found.is_whole = True
            break
        if introducer[:1] == b"\x21" and len(introducer) == 2:
            if introducer[1] == 0xF9:
                has_key = bool(stream.read(2)[1:2] >= b"\x01") and bool(_byte(stream, at + 3) & _COLOUR_KEY)
            at = _after_blocks(stream, at + 2)
        elif introducer[:1] == b"\x2c":
            left, top, w, h, local = struct.unpack("<HHHHB", _whole(stream, at + 1, 9))
            if found.frames == 0:
                found.first_sees_through = has_key
                found.first_fills = left == top == 0 and w >= width and h >= height
            found.frames += 1
            found.far_right = max(found.far_right, left + w)
            found.far_bottom = max(found.far_bottom, top + h)
            has_key = False
            at = _after_blocks(stream, at + 10 + _table_bytes(local) + 1)
        else:
            break
        if at < 0:
            break
    return found


def read_gif(stream: BinaryIO) -> RasterHeader:
    """The canvas; it grows to what the frames claim where that is far more, so that a bomb shows.

    Raises BrokenHeader.
    """
    width, height, flags = struct.unpack("<HHB", _whole(stream, 0, 13)[6:11])
    found = walk_gif(stream)
    is_bomb = found.far_right * found.far_bottom > 4 * max(1, width * height)
    return RasterHeader(
        kind="GIF",
        width=max(width, found.far_right) if is_bomb else width,
        height=max(height, found.far_bottom) if is_bomb else height,
        stored=StoredPpi(None, ""),
        colour="indexed",
        bits=(flags & 7) + 1,
        alpha_at=0 if found.first_sees_through or not found.first_fills else None,
        frames=found.frames,
    )


def _whole(stream: BinaryIO, at: int, length: int) -> bytes:
    stream.seek(at)
    got = stream.read(length)
    if len(got) < length:
        raise BrokenHeader("the file ends inside a block")
    return got


def _byte(stream: BinaryIO, at: int) -> int:
    return _whole(stream, at, 1)[0]


def _table_bytes(flags: int) -> int:
    return 3 << ((flags & 7) + 1) if flags & 0x80 else 0


def _after_blocks(stream: BinaryIO, at: int) -> int:
    """Where the chain of sub-blocks that begins at `at` ends; -1 when the file ends before."""
    stream.seek(at)
    while True:
        length = stream.read(1)
        if not length:
            return -1
        if length == b"\0":
            return stream.tell()
        if len(stream.read(length[0])) < length[0]:
            return -1
