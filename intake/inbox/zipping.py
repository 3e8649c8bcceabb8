"""Zip files: looked through with limits before a byte is unpacked, then unpacked under names of our own."""

from __future__ import annotations

import stat
import struct
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, NoReturn, cast

from intake.inbox.claiming import Claimed, keep_bytes
from intake.inbox.ignoring import why_ignored
from intake.naming import folded, shown_path
from intake.shop import Shop
from tickets.problems import BadInput

_PLAIN = (
    zipfile.ZIP_STORED,
    zipfile.ZIP_DEFLATED,
    zipfile.ZIP_BZIP2,
)  # LZMA can ask for any amount of memory
_LOCAL_HEADER_BYTES = 30
_IS_UTF8 = 0x800
_IS_ENCRYPTED = 0x1
_UNIX = 3
_FOR_ORDER, _LONGEST_NOTE = b"filmdocket: only for order ", 400
_SMALL_BYTES = 1_000_000  # below this a high ratio is harmless: blank artwork packs a thousandfold
_AGAIN = "Pack it again with the usual settings, or drop the files themselves."


@dataclass(frozen=True, slots=True)
class Member:
    """One file of a zip: the folder that it lay in within the zip ("" for its top), and its safe bytes."""

    folder: str
    name: str
    claimed: Claimed

    @property
    def path(self) -> str:
        """Its path in the zip."""
        return f"{self.folder}/{self.name}" if self.folder else self.name


def is_zip_name(name: str) -> bool:
    """Whether a file is to be unpacked."""
    return name.lower().endswith(".zip")


def note_for_order(number: str) -> bytes:
    """The comment of a zip (APPNOTE.TXT 4.4.26) whose artwork is for one order alone."""
    return _FOR_ORDER + number.encode()


def order_noted(archive: Path) -> str:
    """The one order that a zip is for; "" when it does not say. It only narrows what it may correct."""
    with zipfile.ZipFile(archive) as pack:
        note = pack.comment
    is_noted = note.startswith(_FOR_ORDER) and len(note) < _LONGEST_NOTE
    return note.removeprefix(_FOR_ORDER).decode("utf-8", "replace") if is_noted else ""


def unpack(shop: Shop, archive: Path, pulse: Callable[[], None]) -> list[Member]:
    """The members of a zip, each now an original; ignored names are left out.

    Nothing is ever written under a name from inside the zip. Raises BadInput: `zip-damaged`, `zip-encrypted`,
    `zip-too-many-files`, `zip-too-large`, `zip-bomb`, `zip-leads-out`, `zip-same-name-twice`, `zip-link`,
    `zip-in-zip`, `zip-empty`; SetupProblem `disk-full`.
    """
    try:
        with zipfile.ZipFile(archive) as pack:
            chosen = _choose(pack, shop, archive.stat().st_size)
            return [_unpack_member(pack, found, name, shop, pulse) for name, found in chosen.items()]
    except (zipfile.BadZipFile, zlib.error, EOFError, struct.error, UnicodeDecodeError, ValueError) as error:
        _refuse("zip-damaged", f"The zip is damaged: {error}.", _AGAIN)
    except (NotImplementedError, RuntimeError) as error:
        _refuse("zip-damaged", f"The zip is packed in a way that is not read here: {error}.", _AGAIN)


def _choose(pack: zipfile.ZipFile, shop: Shop, packed_bytes: int) -> dict[str, zipfile.ZipInfo]:
    limits = shop.settings.intake
    if not all(m.filename for m in pack.infolist()):  # asked first: `is_dir` trips over it
        _refuse("zip-damaged", "The zip is damaged: one of its files has no name.", _AGAIN)
    members = [m for m in pack.infolist() if not m.is_dir()]
    if len(pack.infolist()) > limits.zip_most_files:
        _refuse(
            "zip-too-many-files",
            f"The zip holds {len(pack.infolist()):,} files; at most {limits.zip_most_files:,} are unpacked.",
            "Send it in parts.",
        )
    total = sum(m.file_size for m in members)
    if total > limits.zip_largest_mb * 1_000_000:
        _refuse(
            "zip-too-large",
            f"The zip holds {total // 1_000_000:,} MB; at most {limits.zip_largest_mb:,} MB are unpacked.",
            "Send it in parts.",
        )
    if total > _SMALL_BYTES and total > packed_bytes * limits.zip_largest_ratio:
        _refuse_bomb("its files would grow more than any artwork does")
    _refuse_overlaps(members, packed_bytes)
    chosen: dict[str, zipfile.ZipInfo] = {}
    for member in members:
        name = _name_of(member)
        if not _is_ignored(name, limits.ignore):
            _look_over(member, name, chosen)
            chosen[name] = member
    if not chosen:
        _refuse("zip-empty", "The zip holds no files.", "Put the order file and its artwork into it.")
    return chosen


def _refuse_overlaps(members: list[zipfile.ZipInfo], packed_bytes: int) -> None:
    """Members that share packed bytes make a small file unpack to a huge one (D. Fifield, WOOT 2019)."""
    end = 0
    for member in sorted(members, key=lambda m: m.header_offset):
        if member.header_offset < end:
            _refuse_bomb("its files lie one over another")
        end = member.header_offset + _LOCAL_HEADER_BYTES + member.compress_size
    if end > packed_bytes:
        _refuse("zip-damaged", "The zip is damaged: it ends before its last file does.", _AGAIN)


def _name_of(member: zipfile.ZipInfo) -> str:
    name = member.filename
    if not member.flag_bits & _IS_UTF8:
        # Macs write UTF-8 without saying so; whatever is valid UTF-8 was hardly meant as anything else.
        try:
            name = name.encode("cp437").decode("utf-8")
        except UnicodeError:
            name = member.filename
    return name.replace("\\", "/")


def _is_ignored(name: str, patterns: tuple[str, ...]) -> bool:
    *folders, last = name.split("/")
    return any(why_ignored(f, is_folder=True) for f in folders if f not in ("", ".", "..")) or bool(
        why_ignored(last, is_folder=False, patterns=patterns)
    )


def _look_over(member: zipfile.ZipInfo, name: str, chosen: dict[str, zipfile.ZipInfo]) -> None:
    shown = shown_path(name)
    parts = name.split("/")
    if name.startswith("/") or any(p in ("", ".", "..") for p in parts) or name[1:2] == ":" or "\0" in name:
        _refuse("zip-leads-out", f"The zip names a file outside of itself: {shown}.", _AGAIN)
    if member.flag_bits & _IS_ENCRYPTED:
        _refuse("zip-encrypted", "The zip asks for a password.", "Send it without one.")
    kind = stat.S_IFMT(member.external_attr >> 16)
    if member.create_system == _UNIX and kind not in (0, stat.S_IFREG):
        _refuse("zip-link", f"{shown} in the zip is a link or another thing that is no file.", _AGAIN)
    if is_zip_name(name):
        _refuse("zip-in-zip", f"The zip holds another one: {shown}.", "Send the files in one zip.")
    if member.compress_type not in _PLAIN:
        _refuse("zip-damaged", f"{shown} in the zip is packed in a way that is not read here.", _AGAIN)
    if any(folded(name) == folded(other) for other in chosen):
        _refuse("zip-same-name-twice", f"The zip holds two files named {shown}.", "Give each its own name.")


def _unpack_member(
    pack: zipfile.ZipFile, found: zipfile.ZipInfo, name: str, shop: Shop, pulse: Callable[[], None]
) -> Member:
    with pack.open(found) as stream:
        claimed = keep_bytes(shop, cast(BinaryIO, _Measured(stream, found.file_size)), pulse)
    folder, _, last = name.rpartition("/")
    return Member(folder, last, claimed)


class _Measured:
    """A member's stream that does not believe the zip's own word on how long it is."""

    def __init__(self, stream: object, promised: int) -> None:
        self._stream = cast(BinaryIO, stream)
        self._left = promised

    def read(self, size: int) -> bytes:
        """The next piece, at most `size` bytes."""
        piece = self._stream.read(size)
        self._left -= len(piece)
        if self._left < 0:
            _refuse_bomb("a file in it is longer than it says")
        return piece


def _refuse_bomb(why: str) -> NoReturn:
    _refuse("zip-bomb", f"The zip is made to fill the disk: {why}.", "Drop the files themselves.")


def _refuse(slug: str, says: str, do: str) -> NoReturn:
    raise BadInput(slug, says, do)
