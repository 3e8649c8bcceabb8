"""Does a file look as if it were still being written, or cut short? Judged on its bytes, without decoding."""

from __future__ import annotations

import os
import struct
import zlib
from pathlib import Path
from typing import BinaryIO
from xml.parsers import expat

from intake.reading import gif, heif_header, jpeg, png, psd_header, tiff, webp
from intake.reading.header import BrokenHeader
from intake.reading.sniff import HEAD_BYTES, Kind, sniff
from intake.reading.tags import BrokenTags, TagFile
from tickets.problems import ArtworkRefused

_BLOCK = 4096
_TAIL = 1 << 16
_MANY_ZEROS = 4096
_NEAR = 64
_NOTHING_YET = 16
_STEP = 1 << 20
_UNCOMPRESSED = 1
_STRIPS = ((273, 279), (324, 325))  # TIFF: StripOffsets and StripByteCounts, TileOffsets and TileByteCounts
_MOST_STRIPS = 1 << 17
_MOST_TEXT = 64 << 20
# Of expat: no element at all, an unclosed token, half a character, an unclosed CDATA section.
_STOPPED = (3, 5, 6, 20)
_MOST_PAGES = 50  # looked at strip by strip; a hostile file must not keep the shop waiting


def looks_unfinished(path: Path) -> str | None:
    """A sentence that says why the file looks unfinished, or None when nothing speaks for that.

    Cheap: reads headers, block lengths and the tail, with the standard library alone. A file of a kind that
    is not known is never unfinished unless it is empty or begins with nothing but zeros (space that was set
    aside for bytes to come). Raises OSError when the file cannot be read.
    """
    with path.open("rb") as stream:
        size = os.fstat(stream.fileno()).st_size
        head = stream.read(HEAD_BYTES)
        if not head:
            return "it is empty."
        try:
            kind = sniff(head)
        except ArtworkRefused:
            return (
                None
                if any(head[_NOTHING_YET:]) or size <= _NOTHING_YET
                else "nearly all of it is still zeros."
            )
        try:
            return _JUDGES[kind](stream, size)
        except (BrokenHeader, BrokenTags, ValueError, OverflowError):
            return f"it ends inside the header of a {kind}." if size < HEAD_BYTES else None


def _png(stream: BinaryIO, size: int) -> str | None:
    """Each chunk must lie wholly in the file, up to IEND (W3C PNG 5.3); space set aside has no names."""
    for name, at, length in png.chunks(stream):
        if not name.isalpha():
            return "its blocks stop in the middle."
        if at + length + 4 > size:
            return "it ends in the middle of a block."
        if name == b"IEND":
            return None
    return "its end (the IEND block of a PNG) is missing."


def _jpeg(stream: BinaryIO, size: int) -> str | None:
    """The end marker FF D9 must follow the start of the picture data (ITU-T T.81 B.1.1)."""
    start = next((at + length for marker, at, length in jpeg.segments(stream) if marker == jpeg.SOS), 0)
    if not start or start >= size:
        return "it ends before the picture begins."
    return None if _holds_after(stream, size, b"\xff\xd9", start) else "the end mark of a JPEG is missing."


def _tiff(stream: BinaryIO, size: int) -> str | None:
    """Every strip or tile must lie in the file, and none of a compressed one may be nothing but zeros."""
    try:
        chain = tiff.directories(TagFile.open(stream))
    except BrokenTags:
        return "the directory of its pictures is missing."
    for directory in chain[:_MOST_PAGES]:
        compressed = directory.number(tiff.COMPRESSION, 1) != _UNCOMPRESSED
        for offsets_tag, counts_tag in _STRIPS:
            offsets = directory.numbers(offsets_tag, _MOST_STRIPS)
            counts = directory.numbers(counts_tag, _MOST_STRIPS)
            ends = [int(o + c) for o, c in zip(offsets, counts, strict=False)]
            if ends and max(ends) > size:
                return "part of its picture lies beyond its end."
            if ends and compressed and _is_zeros(stream, *max(zip(offsets, counts, strict=False))):
                return "the last part of its picture is nothing but zeros."
    return _zeros_from_a_block_edge(stream, size)


def _webp(stream: BinaryIO, size: int) -> str | None:
    """The RIFF length must be there, and the last chunk must not be zeros (RFC 9649, 2.3)."""
    stream.seek(4)
    stated = int.from_bytes(stream.read(4), "little") + 8
    if stated > size:
        return f"it says that it has {stated:,} bytes, but has {size:,}."
    last = (0, 0)
    for name, at, length in webp.riff_chunks(stream, end=stated):
        if at + length > size:
            return "it ends in the middle of a block."
        if not any(name):
            return "its blocks stop in the middle."
        last = (at, length)
    return "its last block is nothing but zeros." if _ends_in_zeros(stream, *last) else None


def _gif(stream: BinaryIO, size: int) -> str | None:
    """The walk over the blocks must come to the trailer (GIF89a, 27)."""
    del size
    return None if gif.walk_gif(stream).is_whole else "the end mark of a GIF is missing."


def _bmp(stream: BinaryIO, size: int) -> str | None:
    """The rows must lie in the file (where they are not compressed, their length follows from the header)."""
    stream.seek(0)
    head = stream.read(34).ljust(34, b"\0")
    begins, header_bytes = struct.unpack_from("<II", head, 10)
    if begins >= size:
        return "it ends before the picture begins."
    if header_bytes >= 40:
        width, height, _, bits, compression = struct.unpack_from("<iiHHI", head, 18)
        needed = begins + (width * bits + 31) // 32 * 4 * abs(height)
        if compression in (0, 3, 6) and needed > size:
            return f"its picture needs {needed:,} bytes, but it has {size:,}."
    return _zeros_from_a_block_edge(stream, size)


def _pdf(stream: BinaryIO, size: int) -> str | None:
    """%%EOF near the end (ISO 32000-1 7.5.5), not counting zeros behind it."""
    stream.seek(max(0, size - _TAIL))
    tail = stream.read(_TAIL).rstrip(b"\0")
    return None if b"%%EOF" in tail[-_BLOCK:] else "the end mark (%%EOF) of a PDF is missing."


def _svg(stream: BinaryIO, size: int) -> str | None:
    """The drawing's text must not stop inside an element, nor its compressed bytes before their end."""
    stream.seek(0)
    text = stream.read(_MOST_TEXT)
    if text.startswith(b"\x1f\x8b"):
        unpacker = zlib.decompressobj(31)
        try:
            text = unpacker.decompress(text, _MOST_TEXT)
        except zlib.error:
            return None
        if len(text) < _MOST_TEXT and not unpacker.eof:
            return "its compressed bytes stop before their end."
    if size >= _MOST_TEXT or len(text) >= _MOST_TEXT:
        return None
    parser = expat.ParserCreate()
    try:
        parser.Parse(text.rstrip(b"\0"), True)
    except (expat.ExpatError, ValueError, LookupError):
        if (
            parser.ErrorCode in _STOPPED
            and parser.ErrorByteIndex >= len(text.rstrip(b"\0").rstrip()) - _BLOCK
        ):
            return "the drawing's text stops in the middle."
    return None


def _psd(stream: BinaryIO, size: int) -> str | None:
    """The sections and the flattened picture must lie in the file."""
    return None if psd_header.read_psd(stream).ends_at <= size else "its flattened picture is not all there."


def _isobmff(stream: BinaryIO, size: int) -> str | None:
    """Each box at the top level must lie in the file (ISO/IEC 14496-12, 4.2)."""
    for name, at, length in heif_header.boxes(stream, 0, size):
        if at + length > size:
            return "it ends in the middle of a block."
        if not any(name):
            return "its blocks stop in the middle."
    return None


def _eps(stream: BinaryIO, size: int) -> str | None:
    """The parts that a binary header names must lie in the file; plain PostScript has no sure end."""
    stream.seek(0)
    head = stream.read(30)
    if head.startswith(b"\xc5\xd0\xd3\xc6") and len(head) >= 12:
        begins, length = struct.unpack_from("<II", head, 4)
        return "its drawing lies beyond its end." if begins + length > size else None
    return None


_JUDGES = {
    Kind.PNG: _png,
    Kind.JPEG: _jpeg,
    Kind.TIFF: _tiff,
    Kind.WEBP: _webp,
    Kind.GIF: _gif,
    Kind.BMP: _bmp,
    Kind.PDF: _pdf,
    Kind.SVG: _svg,
    Kind.PSD: _psd,
    Kind.HEIC: _isobmff,
    Kind.AVIF: _isobmff,
    Kind.EPS: _eps,
}


def _holds_after(stream: BinaryIO, size: int, mark: bytes, start: int) -> bool:
    """Whether `mark` occurs behind `start`; looked for at the end first, where it nearly always is."""
    tail_at = max(start, size - _TAIL)
    stream.seek(tail_at)
    if mark in stream.read(size - tail_at):
        return True
    stream.seek(start)
    kept = b""
    while block := stream.read(_STEP):
        if mark in kept + block:
            return True
        kept = block[-len(mark) + 1 :]
    return False


def _is_zeros(stream: BinaryIO, at: float, length: float) -> bool:
    stream.seek(int(at))
    block = stream.read(min(int(length), _TAIL))
    return len(block) >= 16 and not any(block)


def _ends_in_zeros(stream: BinaryIO, at: int, length: int) -> bool:
    """Compressed bytes end in a long run of zeros only when they are yet to be written."""
    stream.seek(at + max(0, length - _NEAR))
    block = stream.read(min(length, _NEAR))
    return len(block) >= _NEAR and not any(block)


def _zeros_from_a_block_edge(stream: BinaryIO, size: int) -> str | None:
    """Uncompressed pixels may well end in zeros of their own (black, or see-through).

    Zeros that begin at a block of the disk are space set aside; a picture's own begin there by chance in one
    of 64 files that end in zeros.
    """
    begins = size
    while begins > 0:
        at = max(0, begins - _STEP)
        stream.seek(at)
        kept = stream.read(begins - at).rstrip(b"\0")
        begins = at + len(kept)
        if kept:
            break
    if size - begins < _MANY_ZEROS or (-begins) % _BLOCK > _NEAR:
        return None
    return f"its last {size - begins:,} bytes are nothing but zeros, as if they were still to come."
