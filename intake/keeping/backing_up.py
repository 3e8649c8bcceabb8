"""A backup of the whole shop into one file, while the daemon and everybody else goes on working."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import BinaryIO

from intake.durable import TEMPORARY, make_folder, sync_folder
from intake.inbox.claiming import COPY_BYTES
from intake.inbox.clearing import files_aside, is_safe
from intake.inbox.listing import Entry, list_inbox
from intake.inbox.opening import READ_PLAIN, Changed, opened_as_seen
from intake.keeping.archive import DUMP_NAME, LIST_NAME, SETTINGS_FILES, Contents, Packed, originals_in
from intake.letters.templating import FOLDER as TEMPLATES
from intake.naming import shown_path
from intake.shop import INBOX, ORIGINALS, OUTBOX, PAPERS, REFUSED, Shop
from tickets.dumping import dump_postgresql
from tickets.lookup import kept_files
from tickets.problems import SetupProblem, ShopProblem
from tickets.store import DATABASE_NAME

_PACKED_ALREADY = zipfile.ZIP_STORED  # artwork is packed by its own format
_ORIGINAL = re.compile(r"[0-9a-f]{64}")


@dataclass
class BackupAnswer:
    """What was written, and what was found wrong on the way, a sentence each."""

    file: Path
    size: int
    files: int
    listed_only: int
    wrong: list[str]
    left_out: list[str]

    def as_lines(self) -> list[str]:
        """The answer for people."""
        only = f"; {self.listed_only} originals listed only" if self.listed_only else ""
        lines = [f"{self.file}: {self.files} files, {self.size / 1e6:,.1f} MB{only}."]
        lines += [f"Left out, it was changing: {path}" for path in self.left_out]
        return [*lines, *(f"WRONG: {says}" for says in self.wrong)]


def back_up(shop: Shop, file: Path, *, with_originals: bool = True) -> BackupAnswer:
    """Write the shop into one new zip: books, inbox, originals, papers, messages, refused files, settings.

    In this order, so that the books in it never speak of a file that it lacks: what waits in the inbox first,
    then the books at one moment, then the originals, which are always there before the books name them. The
    file is there whole or not at all. Raises ShopProblem `backup-there`, `backup-inside`, `no-pg-dump`,
    `pg-dump-failed`, `inbox-gone`; OSError when it cannot be written.
    """
    file = file.absolute()
    _refuse_place(shop, file)
    make_folder(file.parent)
    part = file.with_name(f"{TEMPORARY}{secrets.token_hex(8)}")
    try:
        with part.open("xb") as stream:
            packing = _Packing(shop, with_originals)
            with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
                packing.pack_all(archive)
            stream.flush()
            os.fsync(stream.fileno())
            size = stream.tell()
        _publish(part, file)
    finally:
        with contextlib.suppress(OSError):
            part.unlink()
    sync_folder(file.parent)
    listed = sum(not packed.name for packed in packing.files)
    return BackupAnswer(file, size, len(packing.files), listed, packing.wrong, packing.left_out)


def _publish(part: Path, file: Path) -> None:
    """Never over a file that came meanwhile, where the file system can promise that."""
    try:
        os.link(part, file)
    except FileExistsError as error:
        raise _is_there(file) from error
    except OSError:  # no hard links on this file system
        part.rename(file)


def _refuse_place(shop: Shop, file: Path) -> None:
    inside = Path(os.path.realpath(file.parent))
    for name in (INBOX, ORIGINALS, OUTBOX, PAPERS, REFUSED):
        folder = Path(os.path.realpath(shop.folder / name))
        if folder == inside or folder in inside.parents:
            raise ShopProblem(
                "backup-inside",
                f"{file} lies in the shop's own {name}/, which is packed into the backup itself.",
                "Name a file elsewhere, best on another disk.",
            )
    if file.exists() or file.is_symlink():
        raise _is_there(file)


def _is_there(file: Path) -> ShopProblem:
    return ShopProblem(
        "backup-there", f"{file} is there already; no backup is written over another.", "Name a new file."
    )


@dataclass
class _Packing:
    """One backup in the making."""

    shop: Shop
    with_originals: bool
    files: list[Packed] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)

    def pack_all(self, archive: zipfile.ZipFile) -> None:
        made_at = self.shop.clock().isoformat()
        self._pack_inbox(archive)
        self._pack_set_aside(archive)
        self._pack_books(archive)
        wanted = {kept.sha256: kept for kept in kept_files(self.shop.store)}
        self._pack_originals(archive)
        there = {packed.path.rpartition("/")[2] for packed in originals_in(tuple(self.files))}
        self.wrong += [
            f"the original of {k.why} ({k.sha256}) is not there." for s, k in wanted.items() if s not in there
        ]
        for name in (PAPERS, OUTBOX, REFUSED, TEMPLATES):
            for path in _plain_files(self.shop.folder / name):
                self._pack_file(archive, path)
        for name in SETTINGS_FILES:
            self._pack_file(archive, self.shop.folder / name)
        contents = Contents(made_at, version("filmdocket"), self.shop.store.dialect, tuple(self.files))
        archive.writestr(LIST_NAME, contents.as_bytes())

    def _pack_inbox(self, archive: zipfile.ZipFile) -> None:
        for at, entry in enumerate(list_inbox(self.shop.inbox).entries.values()):
            if not entry.ignored and not entry.away:
                self._pack_entry(archive, entry, f"{INBOX}/{at:06}")

    def _pack_entry(self, archive: zipfile.ZipFile, entry: Entry, name: str) -> None:
        # Under a number: names of customers' files need not be text, and are never names in an archive.
        kept: Packed | None = None
        try:
            with opened_as_seen(self.shop.inbox, entry) as source:
                kept = self._write(archive, source, name, f"{INBOX}/{entry.path}", zipfile.ZIP_DEFLATED)
        except (Changed, OSError):
            self.left_out.append(shown_path(entry.path))
        else:
            self.files.append(kept)

    def _pack_set_aside(self, archive: zipfile.ZipFile) -> None:
        """What is on its way out of the inbox lies in `originals/` as a rule. What does not (a file that came
        under its name meanwhile) goes back into the inbox, as it would at the next start of the daemon."""
        taken = {packed.path for packed in self.files}
        for at, (aside, source) in enumerate(files_aside(self.shop)):
            if not aside.is_file() or aside.is_symlink() or is_safe(self.shop, aside):
                continue
            path = source.relative_to(self.shop.inbox).as_posix()
            while f"{INBOX}/{path}" in taken:
                folder, slash, name = path.rpartition("/")
                path = f"{folder}{slash}again-{name}"
            taken.add(f"{INBOX}/{path}")
            self._pack_file(archive, aside, f"{INBOX}/aside-{at:06}", f"{INBOX}/{path}")

    def _pack_books(self, archive: zipfile.ZipFile) -> None:
        with tempfile.TemporaryDirectory(prefix=TEMPORARY, dir=self.shop.folder) as aside:
            if self.shop.store.dialect == "sqlite":
                copy, name = Path(aside) / "books", DATABASE_NAME
                self.shop.store.copy_to(copy)
            else:
                copy, name = Path(aside) / "books", DUMP_NAME
                dump_postgresql(self.shop.settings.database.url, copy)
            with copy.open("rb") as source:
                self.files.append(self._write(archive, source, name, name, zipfile.ZIP_DEFLATED))

    def _pack_originals(self, archive: zipfile.ZipFile) -> None:
        for path in _plain_files(self.shop.originals):
            if not _ORIGINAL.fullmatch(path.name) or path.parent.name != path.name[:2]:
                continue
            at = f"{ORIGINALS}/{path.parent.name}/{path.name}"
            with path.open("rb") as source:
                if self.with_originals:
                    packed = self._write(archive, source, at, at, _PACKED_ALREADY)
                else:
                    packed = Packed("", at, os.fstat(source.fileno()).st_size, _hash_of(source))
            if packed.sha256 != path.name:
                self.wrong.append(
                    f"the original {path.name} is damaged: its bytes are not what its name says."
                )
            self.files.append(packed)

    def _pack_file(self, archive: zipfile.ZipFile, file: Path, name: str = "", path: str = "") -> None:
        at = path or file.relative_to(self.shop.folder).as_posix()
        with contextlib.suppress(FileNotFoundError), os.fdopen(os.open(file, READ_PLAIN), "rb") as source:
            self.files.append(self._write(archive, source, name or at, at, zipfile.ZIP_DEFLATED))

    def _write(self, archive: zipfile.ZipFile, source: BinaryIO, name: str, path: str, how: int) -> Packed:
        entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
        entry.compress_type, entry.external_attr = how, 0o644 << 16
        digest, size = hashlib.sha256(), 0
        with archive.open(entry, "w", force_zip64=True) as packed:
            while piece := source.read(COPY_BYTES):
                digest.update(piece)
                packed.write(piece)
                size += len(piece)
        return Packed(name, path, size, digest.hexdigest())


def _hash_of(source: BinaryIO) -> str:
    digest = hashlib.sha256()
    while piece := source.read(COPY_BYTES):
        digest.update(piece)
    return digest.hexdigest()


def _plain_files(folder: Path) -> Iterator[Path]:
    """Regular files below a folder of the shop's own, in order; half-written ones and links left out."""
    for place, folders, names in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        for name in sorted(names):
            path = Path(place) / name
            if not name.startswith((TEMPORARY, ".")) and path.is_file() and not path.is_symlink():
                yield path


def refuse_wrong_backup(answer: BackupAnswer) -> None:
    """A backup of a shop that is not whole is written, and told as such. Raises `shop-not-whole`."""
    if answer.wrong:
        raise SetupProblem(
            "shop-not-whole",
            f"The backup is written, but {len(answer.wrong)} originals are missing or damaged.",
            "filmdocket verify names them; older backups may still have them.",
        )
