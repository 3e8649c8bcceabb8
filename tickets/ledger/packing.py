"""Booking what leaves together: the dispatch that a scan belongs to, its packing slip, and what voids it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta

from sqlalchemy import exists, update
from sqlalchemy.orm import aliased
from sqlmodel import col, func, select

from tickets import wording_dispatch as wording
from tickets.ledger.books import About, Books
from tickets.ledger.opening import OpenOrder, row_id
from tickets.models import Item, Movement, Scan, Ticket
from tickets.models_packing import Dispatch, DispatchScan, Parcel
from tickets.packing import Counts
from tickets.places import CANCELLED, DISPATCHED
from tickets.standing import REFUSED


def pack(books: Books, opened: OpenOrder, scan: Scan, collected_by: str = "") -> Dispatch:
    """Book a scan that sent pieces: with the dispatch that is still open, or as one of its own.

    Scans soon after each other are one dispatch with one slip, as the customer is told of them once. Parcels
    that were packed for it go with it. What is collected by another person is another dispatch.
    """
    last = last_dispatch(books, opened.id)
    joins = last and last.open_until > books.now and last.collected_by == collected_by
    if last is None or not joins:
        last = _new_dispatch(books, opened.id, scan, collected_by)
    else:
        last.revision, last.is_papered = last.revision + 1, False
    last.open_until = books.now + timedelta(seconds=books.settings.messages.wait_seconds)
    books.session.add(DispatchScan(scan_id=row_id(scan.id), dispatch_id=row_id(last.id)))
    books.session.flush()
    _count(books, opened, last)
    waiting = (
        col(Parcel.order_id) == opened.id,
        col(Parcel.dispatch_id).is_(None),
        col(Parcel.removed_at).is_(None),
    )
    books.session.execute(update(Parcel).where(*waiting).values(dispatch_id=last.id))
    return last


def unpack(books: Books, opened: OpenOrder, scan_id: int | None, by: str) -> str:
    """A scan was taken back: its slip is void, or changed where other scans stand on it; what to do about it.

    "" when the scan sent nothing. Parcels of a void dispatch wait for the next one.
    """
    asked = select(Dispatch).join(DispatchScan).where(DispatchScan.scan_id == scan_id)
    dispatch = books.session.exec(asked.where(Dispatch.order_id == opened.id)).first()
    if dispatch is None:
        return ""
    dispatch.revision, dispatch.is_papered = dispatch.revision + 1, False
    number = opened.order.number
    if _sent_with(books, dispatch):
        _count(books, opened, dispatch)
        return wording.slip_changed(number, dispatch.number)
    # What a void slip listed stays on it, so that the paper in somebody's hand is known again.
    dispatch.voided_at = dispatch.open_until = books.now
    books.session.execute(
        update(Parcel).where(col(Parcel.dispatch_id) == dispatch.id).values(dispatch_id=None)
    )
    books.note("slip-voided", About(opened.id), by, slip=dispatch.number)
    return wording.slip_void(number, dispatch.number)


def note_slip(books: Books, dispatch_id: int, revision: int) -> None:
    """The slip of this revision lies in papers/; one that was changed meanwhile is still due."""
    mine = col(Dispatch.id) == dispatch_id, col(Dispatch.revision) == revision
    books.session.execute(update(Dispatch).where(*mine).values(is_papered=True))


def last_dispatch(books: Books, order_id: int) -> Dispatch | None:
    """The newest dispatch of an order that stands; void ones don't."""
    asked = select(Dispatch).where(Dispatch.order_id == order_id, col(Dispatch.voided_at).is_(None))
    return books.session.exec(asked.order_by(col(Dispatch.number).desc())).first()


def _new_dispatch(books: Books, order_id: int, scan: Scan, collected_by: str) -> Dispatch:
    highest = books.session.exec(
        select(func.max(col(Dispatch.number))).where(Dispatch.order_id == order_id)
    ).one()
    made = Dispatch(
        order_id=order_id,
        number=(highest or 0) + 1,
        collected_by=collected_by,
        by=scan.by,
        at=books.now,
        open_until=books.now,
    )
    books.session.add(made)
    books.session.flush()
    books.note("packed", About(order_id), scan.by, slip=made.number, collected_by=collected_by)
    return made


def _count(books: Books, opened: OpenOrder, dispatch: Dispatch) -> None:
    """Write down what went with a dispatch and what was still to follow, as of now."""
    sent = _sent_with(books, dispatch)
    before: Counter[int] = Counter()
    earlier = select(Dispatch).where(
        Dispatch.order_id == opened.id,
        Dispatch.number < dispatch.number,
        col(Dispatch.voided_at).is_(None),
    )
    for one in books.session.exec(earlier):
        before.update({int(number): kept["sent"] for number, kept in one.counts.items()})
    counts = {item.number: _still_there(opened, item) for item in opened.items.values()}
    dispatch.counts = {
        str(number): replace(count, sent=sent[number], before=before[number]).as_json()
        for number, count in counts.items()
    }


def _still_there(opened: OpenOrder, item: Item) -> Counts:
    tickets = list(opened.tickets_of(item))
    waiting = sum(now.waiting for now in tickets)
    if not tickets and item.standing != REFUSED:
        waiting = item.quantity  # it has no ticket yet
    gone = sum(now.at(CANCELLED) for now in tickets)
    return Counts(follows=waiting, cancelled=gone, ordered=item.quantity)


def _sent_with(books: Books, dispatch: Dispatch) -> Counter[int]:
    """How many pieces of each item, by its number, the scans of a dispatch have sent; undone ones not."""
    undo = aliased(Scan)
    asked = (
        select(Item.number, func.sum(Movement.count))
        .join(Ticket, col(Ticket.item_id) == col(Item.id))
        .join(Movement, col(Movement.ticket_id) == col(Ticket.id))
        .join(DispatchScan, col(DispatchScan.scan_id) == col(Movement.scan_id))
        .where(
            DispatchScan.dispatch_id == dispatch.id,
            Movement.to_place == DISPATCHED,
            ~exists().where(col(undo.undoes_id) == col(Movement.scan_id)),
        )
        .group_by(col(Item.number))
    )
    return Counter({number: int(count) for number, count in books.session.exec(asked)})
