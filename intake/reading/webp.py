"""The header of a WebP file (RFC 9649)."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import BinaryIO

from intake.reading.exif import ExifFacts, read_exif
from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.stored_ppi import put_together

_MOST_EXIF = 1 << 20
_MOST_FRAMES = 100_000
_MOST_CHUNKS = 1_000_000


def riff_chunks(stream: BinaryIO, start: int = 12, end: int = 1 << 62) -> Iterator[tuple[bytes, int, int]]:
    """Name, where its bytes begin, and their length, of each chunk of a RIFF file."""
    at = start
    for _ in range(_MOST_CHUNKS):
        if at + 8 > end:
            return
        stream.seek(at)
        head = stream.read(8)
        if len(head) < 8:
            return
        name, length = struct.unpack("<4sI", head)
        yield name, at + 8, length
        at += 8 + length + length % 2


def read_webp(stream: BinaryIO) -> RasterHeader:
    """The header of the canvas; frames counts those of an animation. Raises BrokenHeader."""
    size: tuple[int, int] | None = None
    has_alpha, is_lossy, frames, exif = False, False, 0, ExifFacts()
    for name, at, length in riff_chunks(stream):
        stream.seek(at)
        if name == b"VP8X" and size is None:
            block = stream.read(10)
            if len(block) == 10:
                size = (_of_3(block, 4) + 1, _of_3(block, 7) + 1)
                has_alpha = bool(block[0] & 0x10)
        elif name in (b"VP8 ", b"VP8L"):
            still, alpha = _still(name, stream.read(10))
            size, has_alpha = size or still, has_alpha or alpha
            is_lossy = is_lossy or name == b"VP8 "
        elif name == b"ANMF" and frames < _MOST_FRAMES:
            frames += 1
            is_lossy = is_lossy or (frames == 1 and _has_lossy_frame(stream, at, length))
        elif name == b"EXIF" and length <= _MOST_EXIF:
            exif = read_exif(stream.read(length))
    if size is None:
        raise BrokenHeader("no VP8 or VP8X chunk")
    stored = put_together([exif.stated] if exif.stated else [])
    return RasterHeader(
        kind="WebP",
        width=size[0],
        height=size[1],
        stored=stored,
        orientation=exif.orientation,
        alpha_at=0 if has_alpha else None,
        lossy=is_lossy,
        frames=max(1, frames),
        notes=stored.notes,
    )


def _has_lossy_frame(stream: BinaryIO, at: int, length: int) -> bool:
    return any(name == b"VP8 " for name, _, _ in riff_chunks(stream, at + 16, at + length))


def _still(name: bytes, block: bytes) -> tuple[tuple[int, int] | None, bool]:
    if name == b"VP8 " and block[3:6] == b"\x9d\x01\x2a" and len(block) == 10:
        width, height = struct.unpack("<HH", block[6:10])
        return (width & 0x3FFF, height & 0x3FFF), False
    if name == b"VP8L" and block[:1] == b"\x2f" and len(block) >= 5:
        packed = struct.unpack("<I", block[1:5])[0]
        return ((packed & 0x3FFF) + 1, (packed >> 14 & 0x3FFF) + 1), bool(packed >> 28 & 1)
    return None, False


def _of_3(block: bytes, at: int) -> int:
    return int.from_bytes(block[at : at + 3], "little")
