"""The header of a PNG or APNG file, chunk by chunk (W3C PNG, third edition)."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from typing import BinaryIO

from intake.reading.exif import ExifFacts, read_exif
from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.stored_ppi import Stated, from_phys, put_together

SIGNATURE = b"\x89PNG\r\n\x1a\n"
_COLOURS = {0: "grey", 2: "RGB", 3: "indexed", 4: "grey", 6: "RGB"}
_MOST_TEXT = 1 << 20
_MOST_CHUNKS = 1_000_000


def chunks(stream: BinaryIO) -> Iterator[tuple[bytes, int, int]]:
    """Name, where its bytes begin, their length, of each chunk; up to IEND or where the file ends."""
    at = len(SIGNATURE)
    for _ in range(_MOST_CHUNKS):
        stream.seek(at)
        head = stream.read(8)
        if len(head) < 8:
            return
        length, name = struct.unpack(">I4s", head)
        yield name, at + 8, length
        if name == b"IEND":
            return
        at += 12 + length


def read_png(stream: BinaryIO) -> RasterHeader:
    """The header of the default image; frames counts those of an animation. Raises BrokenHeader."""
    found: dict[bytes, bytes] = {}
    texts: list[bytes] = []
    for name, at, length in chunks(stream):
        if name in (b"IHDR", b"pHYs", b"acTL") or (name == b"eXIf" and length <= _MOST_TEXT):
            stream.seek(at)
            found.setdefault(name, stream.read(length if name == b"eXIf" else min(length, 64)))
        elif name in (b"tRNS", b"iCCP"):
            found[name] = b"here"
        elif name in (b"tEXt", b"zTXt") and length <= _MOST_TEXT and len(texts) < 50:
            stream.seek(at)
            texts.append(name + stream.read(length))
        elif name == b"CgBI":
            raise BrokenHeader("PNG for one maker's telephones only")
    if len(found.get(b"IHDR", b"")) != 13:
        raise BrokenHeader("no IHDR")
    width, height, bits, colour_type = struct.unpack(">IIBB", found[b"IHDR"][:10])
    if colour_type not in _COLOURS:
        raise BrokenHeader(f"colour type {colour_type}")
    exif, exif_note = _exif(found.get(b"eXIf", b""), texts)
    frames = struct.unpack(">I", found[b"acTL"][:4])[0] if len(found.get(b"acTL", b"")) >= 8 else 1
    stored = put_together(_stated(found, exif))
    return RasterHeader(
        kind="PNG",
        width=width,
        height=height,
        stored=stored,
        orientation=exif.orientation,
        colour=_COLOURS[colour_type],
        bits=bits,
        alpha_at=0 if colour_type in (4, 6) or b"tRNS" in found else None,
        frames=max(1, min(frames, 1 << 31)),
        has_profile=b"iCCP" in found,
        notes=stored.notes + exif_note,
    )


def _stated(found: dict[bytes, bytes], exif: ExifFacts) -> list[Stated]:
    stated: list[Stated] = []
    if len(found.get(b"pHYs", b"")) == 9:
        stated.append(from_phys(*struct.unpack(">IIB", found[b"pHYs"])))
    if exif.stated is not None:
        stated.append(exif.stated)
    return stated


def _exif(chunk: bytes, texts: list[bytes]) -> tuple[ExifFacts, tuple[str, ...]]:
    if chunk:
        return read_exif(chunk), ()
    for text in texts:
        profile = _raw_profile(text)
        if profile:
            facts = read_exif(profile)
            if facts.orientation == 1:
                return facts, ()
            note = "The picture was turned as a text note in the file says, which many programs do not heed."
            return facts, (note,)
    return ExifFacts(), ()


def _raw_profile(text: bytes) -> bytes:
    """EXIF in a text chunk, as some converters write it: name, length in decimal, then hexadecimal digits."""
    kind, rest = text[:4], text[4:]
    keyword, _, body = rest.partition(b"\0")
    if keyword not in (b"Raw profile type exif", b"Raw profile type APP1"):
        return b""
    try:
        if kind == b"zTXt":
            body = zlib.decompressobj().decompress(body[1:], _MOST_TEXT)
        lines = body.strip().split(b"\n", 2)
        raw = bytes.fromhex(lines[2].decode("ascii"))
    except (zlib.error, ValueError, IndexError):
        return b""
    at = raw.find(b"Exif\0\0")
    return raw[at + 6 :] if at >= 0 else raw
