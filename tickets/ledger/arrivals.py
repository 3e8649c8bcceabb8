"""What lay in the inbox and what was made of it: one open row a path, rewritten until it is dealt with."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import asdict

from sqlmodel import col, select

from tickets.ledger.books import About, Books
from tickets.ledger.inserting import insert_or_update
from tickets.models import Arrival, Heartbeat
from tickets.requests import ArrivalNote

_PASSING = ("settling", "waiting", "ignored")  # ends as it began: no event each time that it is looked at
_OPEN_ROW = ["path_key"]
_IS_OPEN = Arrival.__table__.c.is_open.is_(True)  # type: ignore[attr-defined]


def write_arrival(books: Books, note: ArrivalNote) -> None:
    """Write what is known of a file: into the open row of its path, else into a new one.

    May be called again with the same note: what is written already is not written twice.
    """
    row = _newest(books, note.path_bytes)
    if row is None or not (row.is_open or _says_so(row, note)):
        _insert(books, note)
        changed = True
    else:
        changed = row.standing != note.standing
        for name, value in asdict(note).items():
            setattr(row, name, value)
        row.changed_at = books.now
    if changed and note.standing not in _PASSING:
        about = {"path": note.path, "standing": note.standing, "order": note.order_number, "slug": note.slug}
        books.note("arrived", About(), sha256=note.sha256, **about)


def close_arrival(books: Books, path_bytes: bytes, says: str) -> None:
    """A file has left the inbox by itself; what was only waiting is not waited for any longer."""
    row = _newest(books, path_bytes)
    if row is None or not row.is_open:
        return
    if row.standing in _PASSING:
        row.standing = "ignored"
    row.is_open, row.says, row.changed_at = False, says, books.now


def mark_cleared(books: Books, paths: Sequence[bytes]) -> None:
    """These files' bytes have left the inbox: their rows are closed. Does nothing the second time."""
    for path_bytes in paths:
        row = _newest(books, path_bytes)
        if row is not None and not row.is_cleared:
            row.is_cleared, row.is_open, row.changed_at = True, False, books.now


def write_heartbeat(books: Books, name: str, says: str, holder: str) -> None:
    """A part of the shop's machinery is alive."""
    beat = Heartbeat(name=name, at=books.now, says=says, holder=holder)
    insert_or_update(books.session, beat, ["name"], {"at": books.now, "says": says, "holder": holder})


def path_key(path_bytes: bytes) -> str:
    """What an arrival is found by, however long its path."""
    return hashlib.sha256(path_bytes).hexdigest()


def _newest(books: Books, path_bytes: bytes) -> Arrival | None:
    """The open row of a path, else its latest."""
    asked = select(Arrival).where(Arrival.path_key == path_key(path_bytes))
    newest = asked.order_by(col(Arrival.is_open).desc(), col(Arrival.id).desc()).limit(1)
    return books.session.exec(newest.with_for_update()).first()


def _says_so(row: Arrival, note: ArrivalNote) -> bool:
    """Whether a closed row is this very arrival, written once more after a restart."""
    written = (row.fingerprint, row.sha256, row.standing, row.order_number)
    return bool(note.sha256) and written == (note.fingerprint, note.sha256, note.standing, note.order_number)


def _insert(books: Books, note: ArrivalNote) -> None:
    row = Arrival(**asdict(note), path_key=path_key(note.path_bytes), seen_at=books.now, changed_at=books.now)
    if not note.is_open:
        books.session.add(row)
        return
    changes = {**asdict(note), "changed_at": books.now}
    insert_or_update(books.session, row, _OPEN_ROW, changes, _IS_OPEN)
