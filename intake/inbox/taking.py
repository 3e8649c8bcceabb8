"""Orders whose artwork is all there are taken: claimed, booked in one transaction, and only then cleared."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping

from intake.faults import reach
from intake.inbox.arrivals import CONFLICT, DUPLICATE, TAKEN, WAITING, Fate, booked_document
from intake.inbox.choosing import Candidate, Found, Lack, OrderSource, find_artwork
from intake.inbox.claiming import Claimed, claim_file
from intake.inbox.contents import OrderFile, Unpacked
from intake.inbox.listing import Entry
from intake.inbox.opening import Changed
from intake.inbox.rounds import Hold, Round
from intake.inbox.zips import fates_of, member_path
from intake.naming import in_log, shown_path
from intake.order.draft import Wanted, draft_of, wanted_artwork
from tickets.requests import ArrivalNote, Taken

_log = logging.getLogger(__name__)


def take_orders(round_: Round) -> None:
    """Take every order that has all it needs; the others are held, and say what they wait for."""
    for source in list(_orders(round_)):
        if round_.is_stopping():
            return
        with round_.one_file(source.entry):
            _consider(round_, source)
        round_.pulse()


def _orders(round_: Round) -> Iterator[OrderSource]:
    for path, entry in round_.settled.items():
        contents = round_.contents_of(path)
        if isinstance(contents, OrderFile):
            yield OrderSource(entry, None, contents)
        elif isinstance(contents, Unpacked):
            yield from _orders_in(round_, entry, contents)


def _orders_in(round_: Round, entry: Entry, contents: Unpacked) -> Iterator[OrderSource]:
    decided = fates_of(round_, entry)
    for member, order in contents.orders:
        if isinstance(order, OrderFile) and member_path(entry, member) not in decided:
            yield OrderSource(entry, member, order)


def _consider(round_: Round, source: OrderSource) -> None:
    found: dict[Wanted, Found] = {}
    lacks: list[Lack] = []
    for wanted in wanted_artwork(source.file.document):
        answer = find_artwork(round_, source, wanted)
        if isinstance(answer, Lack):
            lacks.append(answer)
        else:
            found[wanted] = answer
    booked = round_.recall(booked_document, source.number)
    is_conflict = booked is not None and booked != source.file.document.sha256()
    if lacks and not is_conflict:
        _wait(round_, source, found, lacks)
        return
    safe = _claim_artwork(round_, source, found)
    if safe is not None:
        _take(round_, source, found, safe)


def _wait(round_: Round, source: OrderSource, found: Mapping[Wanted, Found], lacks: list[Lack]) -> None:
    """The order is held, and so is the artwork that is there for it already."""
    says = " ".join(dict.fromkeys(lack.says for lack in lacks))
    slug = next((lack.slug for lack in lacks if lack.slug), "")
    hold = Hold(WAITING, says, slug, source.number)
    if source.member is None:
        round_.hold(source.entry, hold)
    else:
        round_.pending.setdefault(source.entry.path, []).append(hold)
    for one in found.values():
        if one.candidate and one.candidate.member is None and not one.candidate.sha256:
            says = f"It waits with order {source.number}, which names it."
            round_.reserved[one.candidate.entry.path] = Hold(WAITING, says, "", source.number)


def _claim_artwork(
    round_: Round, source: OrderSource, found: Mapping[Wanted, Found]
) -> dict[Wanted, Claimed] | None:
    """Make the bytes of all artworks safe; None when one changed meanwhile and the order must wait."""
    safe: dict[Wanted, Claimed] = {}
    claimed: dict[str, Claimed] = {}
    for wanted, one in found.items():
        candidate = one.candidate
        if candidate is None or one.sha256:
            size = candidate.member.claimed.size if candidate and candidate.member else 0
            safe[wanted] = Claimed(one.sha256, size)
            continue
        path = candidate.entry.path
        if path not in claimed:
            with round_.one_file(candidate.entry):
                claimed[path] = claim_file(round_.shop, candidate.entry, round_.pulse)
        if path not in claimed:
            lack = Lack(f"It waits for {shown_path(candidate.name)}, which is still changing.")
            _wait(round_, source, {}, [lack])
            return None
        safe[wanted] = claimed[path]
    return safe


def _take(
    round_: Round, source: OrderSource, found: Mapping[Wanted, Found], safe: Mapping[Wanted, Claimed]
) -> None:
    shop, entry = round_.shop, source.entry
    order_file = _claim_order(round_, source)
    draft = draft_of(
        source.file.document,
        {wanted: claimed.sha256 for wanted, claimed in safe.items()},
        shop.settings,
        shown_path(entry.folder),
        shop.clock(),
    )
    hows = " ".join(one.how for one in found.values() if one.how)
    says = f"Taken as order {source.number}. {hows}".strip()
    path = member_path(entry, source.member) if source.member else ""
    hold = Hold(TAKEN, says, "", source.number)
    notes = [round_.note_of(entry, hold, order_file.sha256, path, order_file.size)]
    artworks = _artwork_notes(round_, source, found, safe)
    originals = {c.sha256: c.size for c in (order_file, *safe.values()) if c.size}
    reach("before-take")
    taken = shop.ledger.take_order(draft, [*notes, *(n for _, n in artworks)], list(originals.items()))
    reach("after-take")
    _log.info("event=order-%s order=%s path=%s", taken.outcome, in_log(taken.order), in_log(entry.path))
    _remember(round_, source, taken, order_file, artworks)


def _claim_order(round_: Round, source: OrderSource) -> Claimed:
    if source.member is not None:
        return source.member.claimed
    claimed = claim_file(round_.shop, source.entry, round_.pulse)
    if claimed.sha256 != source.file.sha256:
        raise Changed(source.entry.path)
    return claimed


def _artwork_notes(
    round_: Round, source: OrderSource, found: Mapping[Wanted, Found], safe: Mapping[Wanted, Claimed]
) -> list[tuple[Candidate, ArrivalNote]]:
    """What is written about the files that leave the inbox with the order, each once."""
    notes: dict[str, tuple[Candidate, ArrivalNote]] = {}
    hold = Hold(TAKEN, f"Taken as the artwork of order {source.number}.", "", source.number)
    for wanted, one in found.items():
        candidate = one.candidate
        if candidate is None or candidate.entry.path in round_.memory.done:
            continue  # it came before, or another order of this round has taken it along
        path = member_path(candidate.entry, candidate.member) if candidate.member else ""
        if path and path in fates_of(round_, candidate.entry):
            continue
        claimed = safe[wanted]
        note = round_.note_of(candidate.entry, hold, claimed.sha256, path, claimed.size)
        notes.setdefault(path or candidate.entry.path, (candidate, note))
    return list(notes.values())


def _remember(
    round_: Round,
    source: OrderSource,
    taken: Taken,
    order_file: Claimed,
    artworks: list[tuple[Candidate, ArrivalNote]],
) -> None:
    standing = {"conflict": CONFLICT, "duplicate": DUPLICATE}.get(taken.outcome, TAKEN)
    fate = Fate(standing, taken.order)
    if source.member is None:
        round_.finish(source.entry, standing, order_file.sha256, taken.says)
    else:
        fates_of(round_, source.entry)[member_path(source.entry, source.member)] = fate
        round_.booked()
    for candidate, note in artworks:
        if candidate.member is None:
            round_.finish(
                candidate.entry, standing, note.sha256, taken.says if standing == CONFLICT else note.says
            )
        else:
            fates_of(round_, candidate.entry)[member_path(candidate.entry, candidate.member)] = fate


def held_for_an_order(round_: Round, entry: Entry) -> bool:
    """Whether an order that waits for something else names this artwork; it is held with it then."""
    hold = round_.reserved.get(entry.path)
    if hold is not None:
        round_.hold(entry, hold)
    return hold is not None
