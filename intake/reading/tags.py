"""Tag directories as TIFF and EXIF hold them, read from the bytes, with every size and loop bounded."""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass
from typing import BinaryIO

MOST_ENTRIES = 4096
MOST_VALUE_BYTES = 64 << 20

# TIFF 6.0 section 2, and BigTIFF's 16 to 18: code of the type → (bytes of one value, struct code).
_TYPES: dict[int, tuple[int, str]] = {
    1: (1, "B"),
    2: (1, "s"),
    3: (2, "H"),
    4: (4, "I"),
    5: (8, "II"),
    6: (1, "b"),
    7: (1, "s"),
    8: (2, "h"),
    9: (4, "i"),
    10: (8, "ii"),
    11: (4, "f"),
    12: (8, "d"),
    13: (4, "I"),
    16: (8, "Q"),
    17: (8, "q"),
    18: (8, "Q"),
}


class BrokenTags(Exception):
    """The bytes are no tag directory."""


@dataclass(frozen=True, slots=True)
class _Entry:
    type_code: int
    count: int
    value_at: int


@dataclass(frozen=True, slots=True)
class Directory:
    """One directory (IFD): its entries, and where the next one lies (0: none)."""

    tags: TagFile
    entries: dict[int, _Entry]
    next_at: int

    def numbers(self, tag: int, at_most: int = 64) -> tuple[float, ...]:
        """The values of a tag as numbers; a fraction with a zero below the line is nan; () when missing."""
        entry = self.entries.get(tag)
        if entry is None or entry.type_code not in _TYPES:
            return ()
        size, code = _TYPES[entry.type_code]
        if code == "s":
            return ()
        count = min(entry.count, at_most)
        raw = self.tags.read_at(entry.value_at, size * count)
        values = struct.unpack(f"{self.tags.order}{count * len(code)}{code[0]}", raw)
        if len(code) == 1:
            return tuple(values)
        return tuple(a / b if b else float("nan") for a, b in zip(values[::2], values[1::2], strict=True))

    def number(self, tag: int, default: int) -> int:
        """The first value of a tag as a whole number."""
        values = self.numbers(tag, 1)
        return int(values[0]) if values and math.isfinite(values[0]) else default

    def raw(self, tag: int, most_bytes: int = MOST_VALUE_BYTES) -> bytes:
        """The bytes of a tag's values as they lie in the file; empty when missing or too long."""
        entry = self.entries.get(tag)
        if entry is None or entry.type_code not in _TYPES:
            return b""
        length = _TYPES[entry.type_code][0] * entry.count
        return self.tags.read_at(entry.value_at, length) if length <= most_bytes else b""


@dataclass(frozen=True, slots=True)
class TagFile:
    """A TIFF-structured stream: byte order, classic or BigTIFF, and where the first directory lies.

    is_lenient: a directory that states more entries than there are bytes is read as far as it goes.
    """

    stream: BinaryIO
    order: str
    is_big: bool
    first_at: int
    is_lenient: bool = False

    @classmethod
    def open(cls, stream: BinaryIO, is_lenient: bool = False) -> TagFile:
        """Read the header (TIFF 6.0 section 2; BigTIFF: version 43, 8-byte offsets). Raises BrokenTags."""
        stream.seek(0)
        head = stream.read(16)
        order = {b"II": "<", b"MM": ">"}.get(head[:2])
        if order is None or len(head) < 8:
            raise BrokenTags("no byte order mark")
        version = struct.unpack(f"{order}H", head[2:4])[0]
        if version == 42:
            return cls(stream, order, False, struct.unpack(f"{order}I", head[4:8])[0], is_lenient)
        if version == 43 and len(head) == 16 and struct.unpack(f"{order}HH", head[4:8]) == (8, 0):
            return cls(stream, order, True, struct.unpack(f"{order}Q", head[8:16])[0])
        raise BrokenTags(f"version {version}")

    def read_at(self, at: int, length: int) -> bytes:
        """Exactly `length` bytes. Raises BrokenTags where the stream is shorter."""
        if not 0 <= length <= MOST_VALUE_BYTES or at < 0 or at >= 1 << 62:
            raise BrokenTags("a value is too long")
        try:
            self.stream.seek(at)
            got = self.stream.read(length)
        except OSError as error:  # farther than the file system can count
            raise BrokenTags("a value lies beyond any file") from error
        if len(got) != length:
            raise BrokenTags("the stream ends inside a value")
        return got

    def directory(self, at: int) -> Directory:
        """The directory at `at`. Raises BrokenTags."""
        count_code, entry_code, offset_code = ("Q", "HHQ", "Q") if self.is_big else ("H", "HHI", "I")
        count_bytes, inline = struct.calcsize("<" + count_code), struct.calcsize("<" + offset_code)
        count = struct.unpack(self.order + count_code, self.read_at(at, count_bytes))[0]
        if not 0 < count <= MOST_ENTRIES:
            raise BrokenTags(f"{count} entries")
        step = struct.calcsize("<" + entry_code) + inline
        if self.is_lenient:
            count = min(count, (self.stream.seek(0, 2) - at - count_bytes) // step)
        block = self.read_at(at + count_bytes, count * step)
        entries: dict[int, _Entry] = {}
        for k in range(count):
            tag, type_code, values = struct.unpack_from(self.order + entry_code, block, k * step)
            value_at = at + count_bytes + (k + 1) * step - inline
            if _TYPES.get(type_code, (1, ""))[0] * values > inline:
                value_at = struct.unpack_from(self.order + offset_code, block, (k + 1) * step - inline)[0]
            entries.setdefault(tag, _Entry(type_code, values, value_at))
        return Directory(self, entries, self._next(at + count_bytes + count * step, offset_code, inline))

    def _next(self, at: int, code: str, length: int) -> int:
        try:
            return int(struct.unpack(self.order + code, self.read_at(at, length))[0])
        except BrokenTags:  # many EXIF writers leave the last link out
            return 0
