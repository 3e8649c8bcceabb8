"""A shop from its backup: into an empty folder, every byte checked, nothing in the file believed."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path

from intake.durable import make_folder, sync_folder
from intake.inbox.claiming import COPY_BYTES
from intake.keeping.archive import (
    DUMP_NAME,
    LARGEST_LIST_BYTES,
    LIST_NAME,
    SETTINGS_FILES,
    Contents,
    Packed,
    read_list,
    refuse_damaged,
)
from intake.naming import shown_path
from intake.shop import INBOX, MARKER, ORIGINALS, make_shop
from tickets.problems import SetupProblem, ShopProblem

_PLAIN = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # the only two that a backup is written with
_ENCRYPTED = 0x1
_DAMAGE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError)
# Paths that cannot stand beside each other: no backup of ours has such.
_CANNOT_BE = (errno.EEXIST, errno.ENOTDIR, errno.EISDIR, errno.ENAMETOOLONG, errno.EINVAL)
_SPARE_BYTES = 50_000_000


@dataclass(frozen=True)
class RestoreAnswer:
    """What was unpacked, and what is left to do by hand."""

    folder: Path
    contents: Contents

    def as_lines(self) -> list[str]:
        """The answer for people."""
        contents = self.contents
        packed = sum(bool(f.name) for f in contents.files)
        lines = [f"{self.folder}: {packed} files as they were on {contents.made_at}, every one checked."]
        if contents.lacking:
            lines.append(
                f"{contents.lacking} originals were only listed: copy them into originals/ yourself."
            )
        if contents.dialect != "sqlite":
            lines.append(f"Load the books with PostgreSQL's own program: pg_restore {DUMP_NAME}")
        return [*lines, "Next: filmdocket verify"]


def restore(file: Path, folder: Path) -> RestoreAnswer:
    """Unpack a backup into a folder that is empty or not there yet.

    Paths are taken from the list in it, checked, and made of parts below `folder`; lengths and hashes must be
    those of the list, and no more is unpacked than it says. On any error nothing is left in `folder`. Raises
    ShopProblem `folder-not-empty`, `backup-damaged`, `backup-newer`, `backup-leads-out`, `backup-not-there`,
    `disk-full`.
    """
    folder = folder.absolute()
    _want_empty(folder)
    was_there = folder.is_dir()
    if not file.is_file():
        raise ShopProblem("backup-not-there", f"There is no file {file}.", "Name the backup's file.")
    try:
        with zipfile.ZipFile(file) as archive:
            contents = _read_contents(archive)
            _want_room(folder, sum(packed.size for packed in contents.files if packed.name))
            _unpack_all(archive, contents, folder)
        _complete(folder, contents)
    except BaseException as error:
        _clear(folder, was_there)
        if isinstance(error, _DAMAGE) or (isinstance(error, OSError) and error.errno in _CANNOT_BE):
            refuse_damaged(str(error) or type(error).__name__)
        raise
    return RestoreAnswer(folder, contents)


def _want_empty(folder: Path) -> None:
    if folder.is_symlink() or (folder.exists() and (not folder.is_dir() or any(folder.iterdir()))):
        raise ShopProblem(
            "folder-not-empty",
            f"{folder} is not an empty folder; a backup is never unpacked over anything.",
            "Name a new folder.",
        )


def _want_room(folder: Path, size: int) -> None:
    place = next(p for p in (folder, *folder.parents) if p.is_dir())
    free = shutil.disk_usage(place).free
    if free < size + _SPARE_BYTES:
        raise SetupProblem(
            "disk-full",
            f"The backup unpacks to {size // 1_000_000:,} MB, and {place} has {free // 1_000_000:,} MB free.",
            "Free some space, or name a folder on another disk.",
        )


def _read_contents(archive: zipfile.ZipFile) -> Contents:
    """The list, after the zip's own table was looked over: every file of it is there once, and plain."""
    entries = {entry.filename: entry for entry in archive.infolist()}
    if len(entries) != len(archive.infolist()):
        refuse_damaged("it holds a file twice")
    if LIST_NAME not in entries or entries[LIST_NAME].file_size > LARGEST_LIST_BYTES:
        refuse_damaged(f"it has no list of its files ({LIST_NAME})")
    if any(e.compress_type not in _PLAIN or e.flag_bits & _ENCRYPTED for e in entries.values()):
        refuse_damaged("a file in it is packed in another way than backups are")
    with archive.open(LIST_NAME) as stream:
        contents = read_list(stream.read(LARGEST_LIST_BYTES))
    for packed in contents.files:
        if packed.name and (packed.name not in entries or entries[packed.name].file_size != packed.size):
            refuse_damaged(f"{packed.path!a} is not in it as its list says")
    return contents


def _unpack_all(archive: zipfile.ZipFile, contents: Contents, folder: Path) -> None:
    made = set()
    # The settings last: without them the folder is no shop yet, whatever happens on the way.
    for packed in sorted(contents.files, key=lambda p: p.path in SETTINGS_FILES):
        if packed.name:
            path = folder.joinpath(*packed.path.split("/"))
            make_folder(path.parent)
            made.add(path.parent)
            _unpack(archive, packed, path)
    for place in made:
        sync_folder(place)


def _unpack(archive: zipfile.ZipFile, packed: Packed, path: Path) -> None:
    digest, left = hashlib.sha256(), packed.size
    with archive.open(packed.name) as source, path.open("xb") as file:
        while piece := source.read(COPY_BYTES):
            left -= len(piece)
            if left < 0:
                break
            digest.update(piece)
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())
    if left or digest.hexdigest() != packed.sha256:
        refuse_damaged(f"{shown_path(packed.path)} is not what it was")
    if packed.path.startswith(f"{ORIGINALS}/"):
        path.chmod(0o444)


def _complete(folder: Path, contents: Contents) -> None:
    """What a backup does not hold: empty folders and the inbox's mark; and the books must open."""
    if "shop.toml" not in {packed.path for packed in contents.files}:
        refuse_damaged("it has no settings of a shop")
    if contents.dialect == "sqlite":
        make_shop(folder)
    else:
        (folder / INBOX).mkdir(exist_ok=True)
        (folder / INBOX / MARKER).touch()


def _clear(folder: Path, was_there: bool) -> None:
    """The folder was empty: whatever is in it now was put there by us."""
    with contextlib.suppress(OSError):
        for inner in folder.iterdir():
            shutil.rmtree(inner) if inner.is_dir() and not inner.is_symlink() else inner.unlink()
        if not was_there:
            folder.rmdir()
