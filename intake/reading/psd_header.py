"""PSD and PSB: where the flattened picture lies and what it is, without reading any of its pixels.

After the public "Adobe Photoshop File Formats Specification" (2019): header, colour mode data, image
resources, layer and mask information, image data; a PSB has longer lengths in the last two.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import BinaryIO

from intake.reading.header import BrokenHeader
from intake.reading.stored_ppi import StoredPpi, find_resource, from_photoshop, put_together

RAW, PACKED = 0, 1
_SIGNATURE = int.from_bytes(b"8BPS", "big")
MOST_RESOURCES = 64 << 20
_MOST_CHANNELS = 56
_MOST_BLOCKS = 10_000
MODES = {0: "bitmap", 1: "grey", 2: "indexed", 3: "RGB", 4: "CMYK", 7: "multichannel", 8: "duotone", 9: "Lab"}
COLOURS = {"bitmap": 1, "grey": 1, "indexed": 1, "RGB": 3, "CMYK": 4, "duotone": 1, "Lab": 3}
_MERGED_TRANSPARENCY = (b"Mtrn", b"Mt16", b"Mt32")
# Tagged blocks whose lengths take eight bytes in a PSB.
_LONG_BLOCKS = set(b"LMsk Lr16 Lr32 Layr Mt16 Mt32 Mtrn Alph FMsk lnk2 FEid FXid PxSD".split())
_ICC, _VERSION, _CLEAR_INDEX, _PIXEL_SHAPE = 1039, 1057, 1047, 1064


@dataclass(frozen=True, slots=True)
class PsdHeader:
    """What the bytes before the flattened picture say. Offsets and lengths in bytes, sizes in px.

    packing: RAW or PACKED, another number for what is not read. is_merged: False when the program that wrote
    it left the flattened picture out. clear_index: the palette entry that is see-through, None = none.
    """

    is_large: bool
    channels: int
    width: int
    height: int
    depth: int
    mode: str
    stored: StoredPpi
    palette: bytes
    icc: bytes
    layers: int | None
    has_alpha: bool
    is_merged: bool
    packing: int
    data_at: int
    clear_index: int | None = None
    pixel_shape: float = 1.0

    @property
    def row_bytes(self) -> int:
        """Bytes of one unpacked row of one channel."""
        return (self.width * self.depth + 7) // 8

    @property
    def counts_bytes(self) -> int:
        """Bytes of the table of packed row lengths."""
        return self.channels * self.height * (4 if self.is_large else 2) if self.packing == PACKED else 0

    @property
    def ends_at(self) -> int:
        """Where the picture ends at the earliest: all of it when raw, its table of rows when packed."""
        if self.packing == RAW:
            return self.data_at + self.row_bytes * self.height * self.channels
        return self.data_at + self.counts_bytes


def read_psd(stream: BinaryIO) -> PsdHeader:
    """The header and the sections up to the flattened picture. Raises BrokenHeader."""
    reader = _Reader(stream)
    signature, version, channels, height, width, depth, mode = reader.take(">IH6xHIIHH")
    if signature != _SIGNATURE or version not in (1, 2) or not 0 < channels <= _MOST_CHANNELS:
        raise BrokenHeader("no PSD header")
    if mode not in MODES or depth not in (1, 8, 16, 32) or not width or not height:
        raise BrokenHeader(f"mode {mode}, {depth} bits, {width} × {height}")
    is_large = version == 2
    palette = reader.section(">I", MOST_RESOURCES)
    resources = reader.section(">I", MOST_RESOURCES)
    layers, says_alpha = _layers(reader, is_large)
    (packing,) = reader.take(">H")
    colours = COLOURS.get(MODES[mode], channels)
    info = find_resource(resources, _VERSION) or b""
    clear = find_resource(resources, _CLEAR_INDEX) or b""
    shape = find_resource(resources, _PIXEL_SHAPE) or b""
    ratio = struct.unpack_from(">d", shape, 4)[0] if len(shape) >= 12 else 1.0
    stated = from_photoshop(resources)
    return PsdHeader(
        is_large=is_large,
        channels=channels,
        width=width,
        height=height,
        depth=depth,
        mode=MODES[mode],
        stored=put_together([stated] if stated else []),
        palette=palette,
        icc=find_resource(resources, _ICC) or b"",
        layers=layers,
        has_alpha=channels > colours and ((layers is not None and layers < 0) or says_alpha),
        is_merged=len(info) < 5 or info[4] != 0,
        packing=packing,
        data_at=stream.tell(),
        clear_index=struct.unpack(">H", clear[:2])[0] if len(clear) >= 2 else None,
        pixel_shape=ratio if 0.01 < ratio < 100 else 1.0,
    )


class _Reader:
    """Reads numbers and sections off a stream, or raises BrokenHeader."""

    def __init__(self, stream: BinaryIO) -> None:
        self.stream = stream
        self.size = stream.seek(0, 2)
        stream.seek(0)

    def take(self, code: str) -> tuple[int, ...]:
        block = self.stream.read(struct.calcsize(code))
        if len(block) != struct.calcsize(code):
            raise BrokenHeader("it ends in the middle")
        return struct.unpack(code, block)

    def length(self, code: str) -> int:
        (length,) = self.take(code)
        if self.stream.tell() + length > self.size:
            raise BrokenHeader("a section is longer than the file")
        return int(length)

    def section(self, code: str, most: int) -> bytes:
        length = self.length(code)
        if length > most:
            raise BrokenHeader("a section is too long")
        return self.stream.read(length)


def _layers(reader: _Reader, is_large: bool) -> tuple[int | None, bool]:
    """(the layer count as stored, None when there is none; whether merged transparency is named).

    A negative count says that the first extra channel is the flattened picture's transparency.
    """
    wide = ">Q" if is_large else ">I"
    length = reader.length(wide)
    end = reader.stream.tell() + length
    count, says_alpha = None, False
    if length:
        layer_bytes = reader.length(wide)
        after = reader.stream.tell() + layer_bytes
        if layer_bytes >= 2:
            (count,) = reader.take(">h")
        reader.stream.seek(after)
        if after + 4 <= end:
            reader.stream.seek(reader.length(">I") + after + 4)
            tagged = _tagged(reader, end, is_large)
            says_alpha = any(name in _MERGED_TRANSPARENCY for name in tagged)
            count = count or next((n for n in tagged.values() if n is not None), count)
    reader.stream.seek(end)
    return count, says_alpha


def _tagged(reader: _Reader, end: int, is_large: bool) -> dict[bytes, int | None]:
    """Names of the additional blocks, with the layer count of those that hold layers (16 and 32 bits)."""
    found: dict[bytes, int | None] = {}
    stream = reader.stream
    for _ in range(_MOST_BLOCKS):
        if stream.tell() + 12 > end:
            break
        signature, name = stream.read(4), stream.read(4)
        if signature not in (b"8BIM", b"8B64"):
            break
        length = reader.length(">Q" if is_large and name in _LONG_BLOCKS else ">I")
        at = stream.tell()
        holds_layers = name in (b"Lr16", b"Lr32", b"Layr") and length >= 2
        found[name] = reader.take(">h")[0] if holds_layers else None
        stream.seek(at + (length + 3) // 4 * 4)
    return found
