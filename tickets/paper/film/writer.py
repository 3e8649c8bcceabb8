"""A PDF written object by object straight to a file, so that large streams are copied and never held."""

from __future__ import annotations

import shutil
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import BinaryIO

HEAD = (
    b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"  # the second line tells programs that bytes follow (ISO 32000-1 7.5.2)
)


@dataclass
class PdfWriter:
    """Objects are numbered first and written in any order; `finish` writes the table of where they lie.

    `xref` in `finish` is the plain table of ISO 32000-1 7.5.4: every reader knows it.
    """

    out: BinaryIO
    _starts: dict[int, int] = field(default_factory=dict)
    _count: int = 0
    _at: int = 0

    def __post_init__(self) -> None:
        self._put(HEAD)

    def number(self, count: int = 1) -> int:
        """The first of so many numbers for objects to come."""
        first = self._count + 1
        self._count += count
        return first

    def write(self, number: int, body: bytes) -> None:
        """One object that is no stream."""
        self._begin(number)
        self._put(body + b"\nendobj\n")

    def write_stream(self, number: int, entries: bytes, content: bytes, *, packs: bool = True) -> None:
        """One stream with the entries of its dictionary; packed (Flate) unless it is already."""
        if packs:
            content, entries = zlib.compress(content, 6), entries + b" /Filter /FlateDecode"
        self._begin(number)
        self._put(b"<< %b /Length %d >>\nstream\n" % (entries, len(content)))
        self._put(content)
        self._put(b"\nendstream\nendobj\n")

    def copy_stream(self, number: int, entries: bytes, source: BinaryIO, length: int) -> None:
        """One stream whose packed bytes are the next `length` of another file. Raises EOFError if it ends."""
        self._begin(number)
        self._put(b"<< %b /Length %d >>\nstream\n" % (entries, length))
        before = self.out.tell()
        shutil.copyfileobj(_Part(source, length), self.out, 1 << 20)
        copied = self.out.tell() - before
        if copied != length:
            raise EOFError(f"{copied} bytes of {length}")
        self._at += copied
        self._put(b"\nendstream\nendobj\n")

    def finish(self, trailer: Mapping[str, int]) -> None:
        """The table of objects and what begins the document: /Root and /Info by object number."""
        start = self._at
        rows = [b"0000000000 65535 f \n"]
        rows += [
            b"%010d 00000 n \n" % self._starts[n] if n in self._starts else b"0000000000 00000 f \n"
            for n in range(1, self._count + 1)
        ]
        self._put(b"xref\n0 %d\n" % (self._count + 1) + b"".join(rows))
        entries = " ".join(f"/{name} {number} 0 R" for name, number in trailer.items())
        self._put(f"trailer\n<< /Size {self._count + 1} {entries} >>\n".encode("ascii"))
        self._put(b"startxref\n%d\n%%%%EOF\n" % start)

    def _begin(self, number: int) -> None:
        self._starts[number] = self._at
        self._put(b"%d 0 obj\n" % number)

    def _put(self, content: bytes) -> None:
        self.out.write(content)
        self._at += len(content)


class _Part:
    """The next `length` bytes of a file, as a file."""

    def __init__(self, source: BinaryIO, length: int) -> None:
        self._source, self._left = source, length

    def read(self, count: int = -1) -> bytes:
        """At most `count` of what is left."""
        found = self._source.read(min(self._left, count) if count >= 0 else self._left)
        self._left -= len(found)
        return found


def text_string(text: str) -> bytes:
    """A text as PDF has it, in hexadecimal: nothing in it can end the string (ISO 32000-1 7.9.2.2)."""
    return b"<" + b"\xfe\xff".hex().encode() + text.encode("utf-16-be", "replace").hex().encode() + b">"
