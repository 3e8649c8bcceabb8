"""HEIC and AVIF headers: the boxes of ISO/IEC 14496-12 and 23008-12, without decoding anything."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from intake.reading.header import BrokenHeader

MOST_META_BYTES = 16 << 20
_MOST_BOXES = 10_000
_ALPHA = (b"urn:mpeg:mpegB:cicp:systems:auxiliary:alpha", b"urn:mpeg:hevc:2015:auxid:1")


@dataclass(frozen=True, slots=True)
class HeifFacts:
    """What the boxes say about the primary picture; sizes in px.

    stored: as coded; upright: after the cut and the turn that the file orders. largest: of any picture in the
    file, tiles and thumbnails included.
    """

    stored: tuple[int, int]
    upright: tuple[int, int]
    largest: tuple[int, int]
    has_alpha: bool = False
    has_profile: bool = False
    bits: int = 8
    is_sequence: bool = False


def boxes(stream: BinaryIO, at: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """(name, where its contents begin, their length) of the boxes from `at` to `end`."""
    for _ in range(_MOST_BOXES):
        if at >= end:
            return
        stream.seek(at)
        head = stream.read(16)
        if len(head) < 8:
            return
        length, name, skip = int.from_bytes(head[:4], "big"), head[4:8], 8
        if length == 1:
            length, skip = int.from_bytes(head[8:16], "big"), 16
        elif length == 0:
            length = max(end - at, skip)
        if length < skip:
            raise BrokenHeader(f"a box of {length} bytes")
        yield name, at + skip, length - skip
        at += length


def read_heif(stream: BinaryIO) -> HeifFacts:
    """The facts of the primary picture. Raises BrokenHeader."""
    size = stream.seek(0, 2)
    meta, is_sequence = b"", False
    for name, at, length in boxes(stream, 0, size):
        if name == b"moov":
            is_sequence = True
        if name == b"meta" and not meta:
            if length > MOST_META_BYTES:
                raise BrokenHeader("an enormous meta box")
            stream.seek(at)
            meta = stream.read(length)
    if len(meta) < 4:
        raise BrokenHeader("no meta box")
    try:
        return _Meta(meta).facts(is_sequence)
    except (struct.error, IndexError) as error:
        raise BrokenHeader("a box stops in the middle") from error


def _inside(block: bytes, at: int = 0) -> Iterator[tuple[bytes, bytes]]:
    """(name, contents) of the boxes in a block of bytes."""
    for _ in range(_MOST_BOXES):
        if at + 8 > len(block):
            return
        length, name = struct.unpack_from(">I4s", block, at)
        skip = 8
        if length == 1:
            length, skip = struct.unpack_from(">Q", block, at + 8)[0], 16
        length = length or len(block) - at
        if length < skip or at + length > len(block):
            raise BrokenHeader("a box that does not fit")
        yield name, block[at + skip : at + length]
        at += length


class _Meta:
    """The meta box: properties, which item has which, and which item is the picture."""

    def __init__(self, meta: bytes) -> None:
        self._properties: list[tuple[bytes, bytes]] = []
        self._of_item: dict[int, list[int]] = {}
        self._primary = 0
        self._auxiliary: list[tuple[int, list[int]]] = []
        for name, block in _inside(meta, 4):
            if name == b"pitm":
                self._primary = struct.unpack_from(">H" if block[0] == 0 else ">I", block, 4)[0]
            elif name == b"iref":
                self._read_references(block)
            elif name == b"iprp":
                self._read_properties(block)

    def facts(self, is_sequence: bool) -> HeifFacts:
        """What the properties of the primary item say."""
        own = [
            self._properties[k - 1]
            for k in self._of_item.get(self._primary, ())
            if 0 < k <= len(self._properties)
        ]
        sizes = [struct.unpack_from(">II", b, 4) for name, b in self._properties if name == b"ispe"]
        stored = next((struct.unpack_from(">II", b, 4) for name, b in own if name == b"ispe"), None)
        if stored is None:
            raise BrokenHeader("no size of the picture")
        bits = next((block[5] for name, block in own if name == b"pixi" and len(block) > 5), 8)
        colours = [block[:4] for name, block in own if name == b"colr"]
        return HeifFacts(
            stored=(int(stored[0]), int(stored[1])),
            upright=_upright((int(stored[0]), int(stored[1])), own),
            largest=max(((int(w), int(h)) for w, h in sizes), key=lambda size: size[0] * size[1]),
            has_alpha=self._has_alpha(),
            has_profile=any(kind in (b"prof", b"rICC") for kind in colours),
            bits=bits,
            is_sequence=is_sequence,
        )

    def _has_alpha(self) -> bool:
        """An auxiliary picture of the primary one whose kind is alpha."""
        for item, targets in self._auxiliary:
            for k in self._of_item.get(item, ()) if self._primary in targets else ():
                name, block = self._properties[k - 1] if 0 < k <= len(self._properties) else (b"", b"")
                if name == b"auxC" and block[4:].split(b"\0")[0] in _ALPHA:
                    return True
        return False

    def _read_references(self, block: bytes) -> None:
        code, width = (">H", 2) if block[0] == 0 else (">I", 4)
        for name, inner in _inside(block, 4):
            if name != b"auxl":
                continue
            source, count = struct.unpack_from(code, inner)[0], struct.unpack_from(">H", inner, width)[0]
            targets = [
                struct.unpack_from(code, inner, width + 2 + k * width)[0] for k in range(min(count, 1000))
            ]
            self._auxiliary.append((source, targets))

    def _read_properties(self, block: bytes) -> None:
        for name, inner in _inside(block):
            if name == b"ipco":
                self._properties = list(_inside(inner))
            elif name == b"ipma":
                self._read_associations(inner)

    def _read_associations(self, block: bytes) -> None:
        version, flags = block[0], block[3]
        at, entries = 8, struct.unpack_from(">I", block, 4)[0]
        for _ in range(min(entries, _MOST_BOXES)):
            item = struct.unpack_from(">H" if version == 0 else ">I", block, at)[0]
            at += 2 if version == 0 else 4
            count = block[at]
            at += 1
            step = 2 if flags & 1 else 1
            for k in range(count):
                raw = int.from_bytes(block[at + k * step : at + (k + 1) * step], "big")
                self._of_item.setdefault(item, []).append(raw & (0x7FFF if step == 2 else 0x7F))
            at += count * step


def _upright(size: tuple[int, int], own: list[tuple[bytes, bytes]]) -> tuple[int, int]:
    """The size after the transformations, in the order that they are listed (ISO/IEC 23008-12, 6.5)."""
    for name, block in own:
        if name == b"clap":
            wide, wide_by, high, high_by = struct.unpack_from(">4I", block)
            if wide_by and high_by and 0 < wide // wide_by <= size[0] and 0 < high // high_by <= size[1]:
                size = wide // wide_by, high // high_by
        elif name == b"irot" and block and block[0] & 1:
            size = size[1], size[0]
    return size
