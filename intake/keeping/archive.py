"""What a backup is: a zip with a list of everything in it, each file with its length and SHA-256."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any, NoReturn

from intake.letters.templating import FOLDER as TEMPLATES
from intake.shop import INBOX, ORIGINALS, OUTBOX, PAPERS, REFUSED
from tickets.problems import BadInput
from tickets.store import DATABASE_NAME

LIST_NAME = "filmdocket-backup.json"
DUMP_NAME = "filmdocket.dump"  # of books in PostgreSQL, for pg_restore
SETTINGS_FILES = ("shop.toml", "limits.toml", "pressing.toml")
FORM = 1  # of the list; a newer one is not read
LARGEST_LIST_BYTES = 1 << 28
_FOLDERS = (INBOX, ORIGINALS, OUTBOX, PAPERS, REFUSED, TEMPLATES)
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Packed:
    """One file of a backup. `name`: in the zip, "" for an original that is only listed. `path`: in the shop
    folder, with `/` between; bytes that are no text as lone surrogates. `size` in bytes."""

    name: str
    path: str
    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Contents:
    """The list of a backup: when it was made (RFC 3339, UTC), by which version, where the books are kept."""

    made_at: str
    version: str
    dialect: str
    files: tuple[Packed, ...]

    @property
    def lacking(self) -> int:
        """How many originals are listed only."""
        return sum(not packed.name for packed in self.files)

    def as_bytes(self) -> bytes:
        """The list as it lies in the zip; ASCII, so that names of any bytes survive."""
        rows = [asdict(packed) for packed in self.files]
        document = {"form": FORM, "made_at": self.made_at, "version": self.version, "dialect": self.dialect}
        return json.dumps({**document, "files": rows}, indent=1).encode("ascii")


def read_list(text: bytes) -> Contents:
    """The list of a backup that anybody may have made. Raises BadInput `backup-damaged`, `backup-newer`,
    `backup-leads-out`."""
    try:
        document: Any = json.loads(text)
        form = document["form"]
        if isinstance(form, int) and form > FORM:
            raise BadInput(
                "backup-newer", "The backup was made by a newer filmdocket.", "Restore it with that version."
            )
        files = tuple(_packed(row) for row in document["files"])
        contents = Contents(
            str(document["made_at"]), str(document["version"]), str(document["dialect"]), files
        )
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        refuse_damaged(f"its list cannot be read ({type(error).__name__})")
    if form != FORM:
        refuse_damaged("its list is of no known form")
    for said in ("path", "name"):
        named = [getattr(p, said) for p in files if getattr(p, said)]
        if len(named) != len(set(named)):
            refuse_damaged("its list names a file twice")
    return contents


def _packed(row: Any) -> Packed:
    packed = Packed(**row)
    well_typed = all(isinstance(v, str) for v in (packed.name, packed.path, packed.sha256))
    if not well_typed or type(packed.size) is not int or packed.size < 0:
        raise ValueError(row)
    if not _SHA256.fullmatch(packed.sha256):
        raise ValueError(packed.sha256)
    if not stays_inside(packed.path):
        raise BadInput(
            "backup-leads-out",
            f"The backup names a file outside of a shop folder: {packed.path!a}.",
            "It was not made by filmdocket, or was changed. Use another one.",
        )
    return packed


def stays_inside(path: str) -> bool:
    """Whether a path of a backup is one that a shop folder has, on every system."""
    if path in (*SETTINGS_FILES, DATABASE_NAME, DUMP_NAME):
        return True
    head, *rest = path.split("/")
    if head not in _FOLDERS or not rest or "\0" in path:
        return False
    if any(part in ("", ".", "..") for part in rest):
        return False
    # All else has names of our own making; the inbox has customers', some of which Windows reads as paths.
    return (head == INBOX and os.name != "nt") or not any(c in path for c in '\\:*?"<>|')


def refuse_damaged(why: str) -> NoReturn:
    """The one answer to a backup that is not as it was written."""
    raise BadInput("backup-damaged", f"The backup is damaged: {why}.", "Use another one.")


def originals_in(files: tuple[Packed, ...]) -> Iterator[Packed]:
    """The originals among the files, whether packed or only listed."""
    return (packed for packed in files if packed.path.startswith(f"{ORIGINALS}/"))
