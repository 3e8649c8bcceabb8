"""Artwork that lies alone: a correction of a questioned item, the same again, a conflict, or early."""

from __future__ import annotations

import logging

from intake.faults import reach
from intake.inbox.arrivals import CONFLICT, DUPLICATE, TAKEN, EarlierArtwork, Fate, items_named
from intake.inbox.choosing import is_company_coming
from intake.inbox.claiming import Claimed, claim_file
from intake.inbox.contents import Artwork, Unpacked
from intake.inbox.listing import Entry
from intake.inbox.rounds import Hold, Round, name_key
from intake.inbox.taking import held_for_an_order
from intake.inbox.zipping import Member
from intake.inbox.zips import fates_of, member_path
from intake.naming import in_log, shown_path
from tickets.standing import ACCEPTED, QUERIED, UNCHECKED
from tickets.standing import REFUSED as REFUSED_ITEM

_log = logging.getLogger(__name__)
_QUESTIONED = (QUERIED, REFUSED_ITEM)


def take_lone_artwork(round_: Round) -> None:
    """Look for the items that artwork without an order may belong to, once an order had time to come."""
    for entry in list(round_.settled.values()):
        with round_.one_file(entry):
            for member in _lone(round_, entry):
                _consider(round_, entry, member)


def _lone(round_: Round, entry: Entry) -> list[Member | None]:
    """The artworks in a file that no order has named: itself (None), or members of a zip without orders."""
    contents = round_.contents_of(entry.path)
    if isinstance(contents, Artwork):
        return [] if held_for_an_order(round_, entry) else [None]
    if isinstance(contents, Unpacked) and not contents.orders:
        fates = fates_of(round_, entry)
        return [m for m in contents.files if member_path(entry, m) not in fates]
    return []


def _consider(round_: Round, entry: Entry, member: Member | None) -> None:
    if not round_.company_is_over(entry.path) or is_company_coming(round_, entry.folder):
        return
    name = member.name if member else entry.name
    items = round_.recall(items_named, shown_path(entry.folder), shown_path(name))
    only_for = _only_for(round_, entry)
    items = [i for i in items if i.order == only_for] if only_for else items
    if any(i.standing == UNCHECKED for i in items):
        return  # its check is under way: what comes of it decides
    questioned = [i for i in items if i.standing in _QUESTIONED]
    live = [i for i in items if i.standing == ACCEPTED and not i.is_closed]
    concerned = questioned or live
    if not concerned:
        return
    claimed = member.claimed if member else claim_file(round_.shop, entry, round_.pulse)
    if all(i.sha256 == claimed.sha256 for i in concerned):
        _note_same_again(round_, entry, member, claimed, concerned[0])
    else:
        _revise(round_, entry, member, claimed)


def _note_same_again(
    round_: Round, entry: Entry, member: Member | None, claimed: Claimed, item: EarlierArtwork
) -> None:
    """The very bytes that the item has. (A later order that names them finds them among what came before.)"""
    if not round_.shop.settings.intake.reuse_days:
        return
    says = f"The same as the {item.name} that order {item.order} has."
    path = member_path(entry, member) if member else ""
    hold = Hold(DUPLICATE, says, "", item.order)
    round_.shop.ledger.note_arrival(round_.note_of(entry, hold, claimed.sha256, path, claimed.size))
    _remember(round_, entry, member, claimed, hold)


def _revise(round_: Round, entry: Entry, member: Member | None, claimed: Claimed) -> None:
    path = member_path(entry, member) if member else ""
    name = member.name if member else entry.name
    hold = Hold(TAKEN, "Taken as corrected artwork.")
    note = round_.note_of(entry, hold, claimed.sha256, path, claimed.size)
    reach("before-take")
    taken = round_.shop.ledger.revise_artwork(
        _only_for(round_, entry) or None,
        name_key(name),
        shown_path(entry.folder),
        claimed.sha256,
        claimed.size,
        note,
    )
    reach("after-take")
    if taken is None:
        return
    _log.info("event=artwork-%s order=%s path=%s", taken.outcome, in_log(taken.order), in_log(entry.path))
    standing = {"conflict": CONFLICT, "duplicate": DUPLICATE}.get(taken.outcome, TAKEN)
    _remember(round_, entry, member, claimed, Hold(standing, taken.says, "", taken.order))


def _only_for(round_: Round, entry: Entry) -> str:
    """The one order that a file's artwork is for, where it says so."""
    contents = round_.contents_of(entry.path)
    return contents.only_for if isinstance(contents, Unpacked) else ""


def _remember(round_: Round, entry: Entry, member: Member | None, claimed: Claimed, hold: Hold) -> None:
    if member is None:
        round_.finish(entry, hold.standing, claimed.sha256, hold.says)
    else:
        fates_of(round_, entry)[member_path(entry, member)] = Fate(hold.standing, hold.order)
        round_.booked()
