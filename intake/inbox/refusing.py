"""What cannot be taken in: it is kept, and laid into `refused/` under a safe name with a plain note."""

from __future__ import annotations

import hashlib
from pathlib import Path

from intake.durable import copy_whole, write_whole
from intake.faults import reach
from intake.inbox.arrivals import CONFLICT, REFUSED, WAITING
from intake.inbox.claiming import claim_file, original_path
from intake.inbox.contents import TOO_LARGE, Broken, Unfinished
from intake.inbox.rounds import Hold, Round
from intake.naming import safe_name, shown_path
from intake.shop import Shop

_ROOM_FOR_MARK = 8


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


def write_refused(shop: Shop, path: str, sha256: str, standing: str, says: str) -> Path:
    """Lay a file that is safe in `originals/` into `refused/<day>/` with its note; twice is the same as once.

    `path` is where it lay in the inbox, `says` what is wrong and what to do. Returns where it lies now.
    """
    day = shop.clock().astimezone(shop.settings.shop.zone).date().isoformat()
    original = original_path(shop, sha256)
    place = _free_place(shop.refused / day / safe_name(path.rpartition("/")[2]), original, sha256)
    if not place.exists():
        copy_whole(original, place)
    note = place.with_name(f"{place.name}.txt")
    if not note.exists():
        write_whole(note, _note(path, sha256, standing, says).encode())
    reach("refused-written")
    return place


def _free_place(place: Path, original: Path, sha256: str) -> Path:
    """Its own name, or with a part of its hash when another file of that name was refused that day."""
    if not place.exists() or _is_same(place, original, sha256):
        return place
    return place.with_name(f"{place.stem}~{sha256[:_ROOM_FOR_MARK]}{place.suffix}")


def _is_same(place: Path, original: Path, sha256: str) -> bool:
    if place.stat().st_size != original.stat().st_size:
        return False
    with place.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest() == sha256


def _note(path: str, sha256: str, standing: str, says: str) -> str:
    opening = (
        "This file needs a person to decide about it."
        if standing == CONFLICT
        else "This file could not be taken in."
    )
    return (
        f"{opening}\n\nFile in the inbox: {shown_path(path)}\n\n{says}\n\n"
        f"Nothing is lost: its bytes are kept under originals/{sha256[:2]}/{sha256}\n"
    )
