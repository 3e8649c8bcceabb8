"""The header of a GIF file: its canvas and every frame's own claim to it (GIF89a specification)."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import BinaryIO

from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.stored_ppi import StoredPpi

_MOST_FRAMES = 100_000
_MOST_BLOCKS = 4_000_000
_COLOUR_KEY = 0x01


@dataclass(slots=True)
class GifFrames:
    """What a walk over the blocks found; `is_whole` when it came to the trailer."""

    frames: int = 0
    is_whole: bool = False
    first_sees_through: bool = False
    far_right: int = 0
    far_bottom: int = 0
    first_box: tuple[int, int, int, int] = (0, 0, 0, 0)


def walk_gif(stream: BinaryIO) -> GifFrames:
    """Walk the blocks to the trailer, without decoding. Raises BrokenHeader on a header that is none."""
    found = GifFrames()
    at = 13 + _table_bytes(_whole(stream, 0, 13)[10])
    has_key = False
    blocks_left = _MOST_BLOCKS
    while found.frames < _MOST_FRAMES:
        stream.seek(at)
        introducer = stream.read(2)
        if introducer[:1] == b"\x3b":
            found.is_whole = True
            break
        if introducer[:1] == b"\x21" and len(introducer) == 2:
            if introducer[1] == 0xF9:
                has_key = bool(_byte(stream, at + 3) & _COLOUR_KEY)
            at, count = _after_blocks(stream, at + 2, blocks_left)
            blocks_left -= count
        elif introducer[:1] == b"\x2c":
            left, top, w, h, local = struct.unpack("<HHHHB", _whole(stream, at + 1, 9))
            if found.frames == 0:
                found.first_sees_through = has_key
                found.first_box = (left, top, w, h)
            found.frames += 1
            found.far_right = max(found.far_right, left + w)
            found.far_bottom = max(found.far_bottom, top + h)
            has_key = False
            at, count = _after_blocks(stream, at + 11 + _table_bytes(local), blocks_left)
            blocks_left -= count
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
    left, top, right, bottom = _within(found.first_box, width, height)
    is_all = (left, top, right, bottom) == (0, 0, width, height)
    is_bomb = found.far_right * found.far_bottom > 4 * max(1, width * height)
    return RasterHeader(
        kind="GIF",
        width=max(width, found.far_right) if is_bomb else width,
        height=max(height, found.far_bottom) if is_bomb else height,
        stored=StoredPpi(None, ""),
        colour="indexed",
        bits=(flags & 7) + 1,
        alpha_at=0 if found.first_sees_through or not is_all else None,
        frames=found.frames,
        covers=None if is_all else (left, top, right - left, bottom - top),
    )


def _within(box: tuple[int, int, int, int], width: int, height: int) -> tuple[int, int, int, int]:
    """The box of a frame as left, top, right, bottom, as far as it lies on the canvas."""
    left, top, wide, high = box
    return min(left, width), min(top, height), min(left + wide, width), min(top + high, height)


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


def _after_blocks(stream: BinaryIO, at: int, most: int) -> tuple[int, int]:
    """Where the sub-blocks that begin at `at` end (-1: the file ends before), and how many they are."""
    stream.seek(at)
    for count in range(most):
        length = stream.read(1)
        if not length:
            return -1, count
        if length == b"\0":
            return stream.tell(), count
        if len(stream.read(length[0])) < length[0]:
            return -1, count
    return -1, most
