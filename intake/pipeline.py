"""The steps of one round of the intake, as a list to be read aloud; the loop knows none by name."""

from __future__ import annotations

import contextlib
import logging
import os
from collections.abc import Callable
from dataclasses import replace

from intake.arrivals import (
    CONFLICT,
    IGNORED,
    REFUSED,
    SAFE,
    SETTLING,
    WAITING,
    Remembered,
    is_left,
)
from intake.claiming import claim_file
from intake.clearing import Clearing, clear_file, is_aside
from intake.contents import STAYING, TOO_LARGE, Broken, Contents, Ignored, Unfinished, read_contents
from intake.corrections import take_lone_artwork
from intake.faults import reach
from intake.ignoring import is_temporary
from intake.listing import Entry, first_level, list_inbox
from intake.naming import in_log
from intake.opening import Changed, is_being_copied
from intake.refusing import write_refused
from intake.rounds import RETRY_SECONDS, Hold, Round
from intake.settling import is_settled
from intake.taking import take_orders
from intake.zips import finish_zips

_log = logging.getLogger(__name__)
STALE_SECONDS = 3600.0  # after which a name of a copy in progress is worth a word
EMPTY_SECONDS = (
    3600.0  # after which a folder that taking has emptied is removed; whoever made it may be copying on
)
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
        if known.is_open and _is_to_be_cleared(known):
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
    if known.is_open and _is_to_be_cleared(known) and (is_same or is_aside(round_.shop, path, known.sha256)):
        round_.to_clear[path] = known
        return True
    return is_same


def _is_to_be_cleared(known: Remembered) -> bool:
    return known.standing in SAFE and known.slug not in STAYING


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
    is_cleared_later = known.is_open and _is_to_be_cleared(known)
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


def wait_for_the_unfinished(round_: Round) -> None:
    """A file that is cut short gets its grace; after that it is refused where it lies, and watched on.

    It stays in the inbox: whoever was copying it may go on, and then it is judged again.
    """
    grace = round_.shop.settings.intake.unfinished_grace_seconds
    for path, entry in list(round_.settled.items()):
        _, contents = round_.memory.contents[path]
        if not isinstance(contents, Unfinished):
            continue
        with round_.one_file(entry):
            if not round_.is_due(path, grace):
                round_.hold(entry, Hold(WAITING, f"{contents.says} It waits for the rest.", contents.slug))
                continue
            claimed = claim_file(round_.shop, entry, round_.pulse)
            says = (
                f"{contents.says} {contents.do} It stays in the inbox and is looked at again when it changes."
            )
            write_refused(round_.shop, path, claimed.sha256, REFUSED, says)
            round_.shop.ledger.note_arrival(
                round_.note_of(entry, Hold(REFUSED, says, contents.slug), claimed.sha256)
            )
            round_.finish(entry, REFUSED, claimed.sha256, says, contents.slug)


def refuse_broken(round_: Round) -> None:
    """What can never be taken in is kept in `originals/`, laid into `refused/` with its note, and cleared."""
    for path, entry in list(round_.settled.items()):
        _, contents = round_.memory.contents[path]
        if not isinstance(contents, Broken):
            continue
        says = f"{contents.says} {contents.do}".strip()
        if contents.slug == TOO_LARGE:
            round_.hold(entry, Hold(REFUSED, says, contents.slug))
            continue
        with round_.one_file(entry):
            claimed = claim_file(round_.shop, entry, round_.pulse)
            note = round_.note_of(entry, Hold(REFUSED, says, contents.slug), claimed.sha256)
            round_.shop.ledger.note_arrival(note)
            reach("after-refuse")
            round_.finish(entry, REFUSED, claimed.sha256, says, contents.slug)


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
