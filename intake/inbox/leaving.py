"""How files leave the inbox once they are safe and booked, and what is left behind."""

from __future__ import annotations

import contextlib
import logging
import os

from intake.faults import reach
from intake.inbox.arrivals import CONFLICT, REFUSED, SAFE, Remembered, is_left
from intake.inbox.clearing import Clearing, clear_file
from intake.inbox.contents import STAYING
from intake.inbox.listing import first_level
from intake.inbox.refusing import write_refused
from intake.inbox.rounds import RETRY_SECONDS, Hold, Round
from intake.naming import in_log

_log = logging.getLogger(__name__)
EMPTY_SECONDS = 3600.0  # until a folder that taking has emptied is removed: its maker may be copying on


def is_to_be_cleared(known: Remembered) -> bool:
    """Whether a file that was dealt with is to leave the inbox."""
    return known.standing in SAFE and known.slug not in STAYING


def clear_inbox(round_: Round) -> None:
    """Last of all: what is safe and booked leaves the inbox."""
    memory = round_.memory
    for path, known in round_.to_clear.items():
        if memory.retry_at.get(path, 0.0) > round_.now:
            continue
        if known.standing in (REFUSED, CONFLICT):
            write_refused(round_.shop, path, known.sha256, known.standing, known.says)
        _clear(round_, path, known)
    round_.shop.ledger.mark_cleared(*(os.fsencode(path) for path in round_.cleared))
    for path in round_.cleared:
        memory.done.pop(path, None)
        memory.forget(path)


def _clear(round_: Round, path: str, known: Remembered) -> None:
    memory, shop = round_.memory, round_.shop
    since = memory.aside_since.get(path)
    is_patient = since is not None and round_.now - since >= round_.settle_seconds(path)
    try:
        outcome = clear_file(shop, path, known.sha256, is_patient=is_patient)
    except OSError as error:
        memory.retry_at[path] = round_.now + RETRY_SECONDS
        _say_not_cleared(round_, path, known, error.strerror or str(error))
        return
    if outcome is Clearing.WATCHED:
        memory.aside_since.setdefault(path, round_.now)
        round_.wake_in = min(round_.wake_in, round_.settle_seconds(path))
        return
    reach("after-clear")
    memory.emptied[path.rpartition("/")[0]] = round_.now
    memory.aside_since.pop(path, None)
    round_.cleared.append(path)
    round_.events += 1


def remove_emptied_folders(round_: Round) -> None:
    """Job folders that taking has emptied go after a while; a customer's own (first-level) folder stays.

    Removing a folder fails by itself when anything has come into it meanwhile, so nothing can be lost.
    """
    emptied = round_.memory.emptied
    for folder, since in list(emptied.items()):
        if round_.now - since < EMPTY_SECONDS:
            continue
        del emptied[folder]
        if first_level(folder) and not is_left(round_.shop, folder):
            with contextlib.suppress(OSError):
                round_.shop.inbox.joinpath(*folder.split("/")).rmdir()
                emptied[folder.rpartition("/")[0]] = round_.now


def _say_not_cleared(round_: Round, path: str, known: Remembered, why: str) -> None:
    """Dealt with, but it cannot leave the inbox: a state of its own, never a reason to take it again."""
    says = f"{known.says} It cannot be taken out of the inbox: {why}."
    entry = round_.listing.entries.get(path)
    if entry is None or round_.memory.noted.get(path, ("", Hold("", "")))[1].says == says:
        return
    hold = Hold(known.standing, says, known.slug)
    round_.memory.noted[path] = (known.fingerprint, hold)
    round_.shop.ledger.note_arrival(round_.note_of(entry, hold, known.sha256))
    _log.warning("event=not-cleared path=%s why=%s", in_log(path), in_log(why))
