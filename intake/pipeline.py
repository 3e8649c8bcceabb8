"""The steps of one round of the intake, as a list to be read aloud; the loop knows none by name."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable
from dataclasses import replace

from intake.faults import reach
from intake.inbox.arrivals import (
    IGNORED,
    SETTLING,
    WAITING,
    Remembered,
)
from intake.inbox.claiming import claim_file
from intake.inbox.clearing import is_aside
from intake.inbox.contents import Contents, Ignored, read_contents
from intake.inbox.corrections import take_lone_artwork
from intake.inbox.ignoring import is_temporary
from intake.inbox.leaving import clear_inbox, is_to_be_cleared, remove_emptied_folders
from intake.inbox.listing import Entry, list_inbox
from intake.inbox.opening import Changed, is_being_copied
from intake.inbox.refusing import refuse_broken, wait_for_the_unfinished
from intake.inbox.rounds import Hold, Round
from intake.inbox.settling import is_settled
from intake.inbox.taking import take_orders
from intake.inbox.zips import finish_zips

_log = logging.getLogger(__name__)
STALE_SECONDS = 3600.0  # after which a name of a copy in progress is worth a word
Step = Callable[[Round], None]


def run_round(round_: Round) -> None:
    """Do every step once, in order. Raises what is wrong with the shop itself, not with one of its files."""
    for step in STEPS:
        step(round_)


def look_at_inbox(round_: Round) -> None:
    """One directory scan: it alone says what is there."""
    shop = round_.shop
    round_.listing = list_inbox(shop.inbox, shop.settings.intake.ignore)
    round_.memory.settling.forget_others(set(round_.listing.entries))


def forget_vanished(round_: Round) -> None:
    """What waited and is no longer there has been withdrawn; what is done is cleared in any case."""
    memory = round_.memory
    for path in [p for p in memory.noted if _is_gone(round_, p) and p not in memory.done]:
        round_.shop.ledger.close_arrival(os.fsencode(path), "It was taken out of the inbox again.")
        memory.noted.pop(path)
        memory.forget(path)
    for path, known in list(memory.done.items()):
        if not _is_gone(round_, path):
            continue
        if known.is_open and is_to_be_cleared(known):
            round_.to_clear[path] = known
        elif known.is_open:
            round_.shop.ledger.close_arrival(
                os.fsencode(path), f"{known.says} It was taken out of the inbox again."
            )
            memory.done.pop(path)
        else:
            memory.done.pop(path)
        memory.forget(path)


def _is_gone(round_: Round, path: str) -> bool:
    return path not in round_.listing.entries and round_.listing.knows_about(path)


def settle_files(round_: Round) -> None:
    """Only files that have stopped changing go on; the others are looked at again next time."""
    memory = round_.memory
    for path, entry in round_.listing.entries.items():
        unchanged = memory.settling.note(path, entry.fingerprint, round_.now)
        round_.unchanged[path] = unchanged
        if unchanged == 0:
            memory.retry_at.pop(path, None)
        if _is_done(round_, path, entry):
            continue
        wait = round_.settle_seconds(path)
        if not is_settled(unchanged, wait):
            round_.wake_in = min(round_.wake_in, wait - unchanged)
            round_.settling_now.add(path)
            if not entry.ignored and path not in memory.done:
                round_.hold(entry, Hold(SETTLING, "It is still changing, or has only just come."))
        elif entry.ignored:
            round_.hold(entry, Hold(IGNORED, _why_ignored(round_, entry)))
        elif entry.away:
            round_.hold(entry, Hold(WAITING, f"It waits: {entry.away}.", "file-away"))
        else:
            round_.settled[path] = entry


def _why_ignored(round_: Round, entry: Entry) -> str:
    says = f"Ignored: {entry.ignored}."
    if is_temporary(entry.name) and round_.waited(entry.path) >= STALE_SECONDS:
        says += " It has not changed for an hour: a copy seems to have stopped."
    return says


def _is_done(round_: Round, path: str, entry: Entry) -> bool:
    """Whether a file was dealt with before, so that at most it is still to be cleared."""
    known = round_.memory.done.get(path)
    if known is None:
        return False
    is_same = known.fingerprint == entry.fingerprint.as_text()
    if known.is_open and is_to_be_cleared(known) and (is_same or is_aside(round_.shop, path, known.sha256)):
        round_.to_clear[path] = known
        return True
    return is_same


def pass_over_troubled(round_: Round) -> None:
    """A file that went wrong lately is left alone for a while; its reason stands in the list."""
    for path, entry in list(round_.settled.items()):
        retry_at = round_.memory.retry_at.get(path, 0.0)
        if retry_at > round_.now:
            round_.wake_in = min(round_.wake_in, retry_at - round_.now)
            _, hold = round_.memory.noted.get(path, ("", Hold(WAITING, "It is tried again soon.")))
            round_.hold(entry, hold)
            if hold.standing == SETTLING:
                round_.settling_now.add(path)


def recognise_changed(round_: Round) -> None:
    """A file that was dealt with and has another fingerprint now: the same bytes, or a new arrival."""
    for path, entry in list(round_.settled.items()):
        known = round_.memory.done.get(path)
        if known is not None:
            with round_.one_file(entry):
                _recognise(round_, entry, known)


def _recognise(round_: Round, entry: Entry, known: Remembered) -> None:
    is_cleared_later = known.is_open and is_to_be_cleared(known)
    if known.sha256 and claim_file(round_.shop, entry, round_.pulse).sha256 == known.sha256:
        same = replace(known, fingerprint=entry.fingerprint.as_text())
        round_.memory.done[entry.path] = same
        round_.settled.pop(entry.path)
        if is_cleared_later:
            round_.to_clear[entry.path] = same
        return
    if is_cleared_later:
        round_.shop.ledger.mark_cleared(entry.path_bytes)
    round_.memory.done.pop(entry.path)


def read_files(round_: Round) -> None:
    """Look into every settled file once: order, zip, artwork, or not finished yet."""
    for entry in list(round_.settled.values()):
        with round_.one_file(entry):
            contents = _read(round_, entry)
            if isinstance(contents, Ignored):
                round_.hold(entry, Hold(IGNORED, f"Ignored: {contents.rule}."))


def _read(round_: Round, entry: Entry) -> Contents:
    mark, known = round_.memory.contents.get(entry.path, ("", None))
    if known is not None and mark == entry.fingerprint.as_text():
        return known
    beside = [e.name for e in round_.listing.beside(entry.folder)]
    if is_being_copied(round_.shop.inbox, entry, beside):
        raise Changed(entry.path)
    contents = read_contents(round_.shop, entry, round_.pulse)
    round_.memory.contents[entry.path] = (entry.fingerprint.as_text(), contents)
    reach("settled")
    return contents


def list_the_rest(round_: Round) -> None:
    """Whatever was not dealt with stands in the list, with what it waits for; written when that changes."""
    if round_.is_stopping():
        return  # some were not looked at any more
    memory = round_.memory
    for entry in round_.settled.values():
        round_.holds.setdefault(entry.path, Hold(WAITING, "It waits for an order that names it."))
    news: dict[str, tuple[str, Hold]] = {}
    for path, hold in round_.holds.items():
        if path in memory.done:
            continue  # the list says already what became of it
        fingerprint = round_.listing.entries[path].fingerprint.as_text()
        told = ("" if hold.standing == SETTLING else fingerprint, hold)
        if memory.noted.get(path) != told:
            news[path] = told
    notes = [round_.note_of(round_.listing.entries[path], hold) for path, (_, hold) in news.items()]
    round_.shop.ledger.note_arrivals(notes)
    memory.noted.update(news)


STEPS: tuple[Step, ...] = (
    look_at_inbox,
    forget_vanished,
    settle_files,
    pass_over_troubled,
    recognise_changed,
    read_files,
    wait_for_the_unfinished,
    refuse_broken,
    take_orders,
    take_lone_artwork,
    finish_zips,
    list_the_rest,
    clear_inbox,
    remove_emptied_folders,
)
