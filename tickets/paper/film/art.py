"""An artwork as it goes into a run's file: encoded once when it is taken in, placed many times.

The file holds the packed bytes of its objects one after the other; a JSON list of them comes last, with its
length. It is written by a process that has opened a stranger's file, so only numbers and lengths of it are
believed, and nothing of it is unpacked where the shop's own programs run.
"""

from __future__ import annotations

import json
import re
import struct
from dataclasses import asdict, dataclass
from io import SEEK_END
from typing import Any, BinaryIO

MARK = b"filmdocket art 1\n"
_LENGTH = struct.Struct(">I")
_MOST_LIST_BYTES = 64 << 20
REFERENCE = "\x01"  # stands on either side of the number of another object of this artwork, from 0
_REFERENCE = re.compile(rb"\x01(\d{1,7})\x01")


class BrokenArt(Exception):
    """What lies in the cache is no encoded artwork, or only part of one; it can be made again."""


@dataclass(frozen=True, slots=True)
class ArtObject:
    """One object of PDF: the entries of its dictionary, or all of it; and how many packed bytes it has."""

    entries: str
    length: int = 0
    is_stream: bool = True


@dataclass(frozen=True, slots=True)
class Small:
    """The artwork small, by another way of reading it, to prove the file by; its packed bytes come last.

    RGBA in sRGB of `width` × `height` px; `length` bytes, zlib. Colours and transparency are averaged each by
    itself, as programs do that make images smaller. Nothing of "vector" art: that is drawn once more instead.
    """

    width: int
    height: int
    length: int


@dataclass(frozen=True, slots=True)
class EncodedArt:
    """What an encoded artwork is: `objects`, of which the first fills the unit square, and how it got there.

    `way`: "samples" (its own pixels), "jpeg" (its own bytes), "vector" or "rendered". `says`: a sentence for
    people where it could not be kept as it was.
    """

    way: str
    objects: tuple[ArtObject, ...]
    small: Small
    says: str = ""


def write_list(out: BinaryIO, art: EncodedArt) -> None:
    """End the file: `MARK` was written first, then the bytes of the objects in order and of `small`."""
    text = json.dumps(asdict(art)).encode("ascii")
    out.write(text + _LENGTH.pack(len(text)))


def read_list(source: BinaryIO) -> EncodedArt:
    """What is in the file, which is left where the first object's bytes begin. Raises BrokenArt."""
    size = source.seek(0, SEEK_END)
    if size < len(MARK) + _LENGTH.size:
        raise BrokenArt("it is too short")
    source.seek(size - _LENGTH.size)
    (length,) = _LENGTH.unpack(source.read(_LENGTH.size))
    if length > min(_MOST_LIST_BYTES, size - len(MARK) - _LENGTH.size):
        raise BrokenArt("its list is too long")
    source.seek(size - _LENGTH.size - length)
    try:
        art = _art(json.loads(source.read(length)))
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise BrokenArt(f"its list cannot be read: {error}") from error
    held = sum(one.length for one in art.objects) + art.small.length
    source.seek(0)
    if source.read(len(MARK)) != MARK or held != size - len(MARK) - length - _LENGTH.size:
        raise BrokenArt("it is not whole")
    return art


def read_small(source: BinaryIO, art: EncodedArt) -> bytes:
    """The packed bytes of the small picture."""
    source.seek(len(MARK) + sum(one.length for one in art.objects))
    return source.read(art.small.length)


def numbered(entries: str, first: int) -> bytes:
    """The entries with the numbers that the objects have in the file, the first of them `first`."""
    return _REFERENCE.sub(lambda m: b"%d 0 R" % (first + int(m[1])), entries.encode("latin-1"))


def _art(document: Any) -> EncodedArt:
    objects = tuple(
        ArtObject(str(o["entries"]), _length(o["length"]), o["is_stream"] is True)
        for o in document["objects"]
    )
    if not objects:
        raise ValueError("no object")
    small = document["small"]
    told = Small(_length(small["width"]), _length(small["height"]), _length(small["length"]))
    return EncodedArt(str(document["way"]), objects, told, str(document["says"]))


def _length(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < 1 << 40:
        raise ValueError("no length")
    return value
