"""Which papers are not printed yet: told from the events that asked for them and those that answered."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import exists, func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, or_, select

from tickets.lookup.answers import utc_text
from tickets.models import Event, Item, Lot, Order, Ticket
from tickets.places import ENDS
from tickets.standing import ACCEPTED
from tickets.store import Store

PAPERED, ASKED, PRINTED = "papered", "print-asked", "printed"
LOOK_BACK = 1000  # events: another writer's may become visible after one with a higher number (PostgreSQL)
MOST_LISTED = 500
MOST_AT_ONCE = 200  # tickets named in one question to the database


@dataclass(frozen=True, slots=True)
class PaperRow:
    """One ticket with a paper. `asked`: the event that asked for it last; `printed_at` None: not yet."""

    ticket_id: int
    code: str
    order: str
    customer: str
    artwork: str
    quantity: int
    issued_at: datetime
    asked: int
    printed_at: datetime | None
    is_at_printer: bool = False

    def as_json(self) -> dict[str, Any]:
        """Plain values, times in UTC."""
        return {
            "code": self.code,
            "order": self.order,
            "customer": self.customer,
            "artwork": self.artwork,
            "quantity": self.quantity,
            "issued": utc_text(self.issued_at),
            "printed": utc_text(self.printed_at),
            "at_printer": self.is_at_printer,
        }


@dataclass(slots=True)
class PrintQueue:
    """What the printer is still to print: ticket row → the event that asked; kept by reading on."""

    waiting: dict[int, int] = field(default_factory=dict)
    seen: int = 0

    def read_on(self, store: Store) -> None:
        """Take in what was asked for and printed since the last time; the first time, of every open order."""
        with store.reading() as session:
            newest = session.exec(select(func.max(Event.id))).one() or 0
            if newest == self.seen:
                return
            asked = select(Event).where(col(Event.kind).in_((PAPERED, ASKED, PRINTED)))
            if self.seen:
                asked = asked.where(col(Event.id) > self.seen - LOOK_BACK)
            else:
                asked = asked.where(col(Event.order_id).in_(_open_orders()))
            events = list(session.exec(asked.order_by(col(Event.id))))
        self._take_in(events)
        self.seen = newest

    def _take_in(self, events: Sequence[Event]) -> None:
        asked: dict[int, int] = {}
        printed: dict[int, int] = {}
        for event in events:
            assert event.ticket_id is not None  # all three kinds are about a ticket
            assert event.id is not None
            if event.kind == PRINTED:
                printed[event.ticket_id] = max(printed.get(event.ticket_id, 0), int(event.payload["of"]))
            elif event.kind == ASKED or event.payload.get("print"):
                asked[event.ticket_id] = event.id
        for ticket_id, event_id in asked.items():
            if event_id > printed.get(ticket_id, 0):
                self.waiting[ticket_id] = event_id
        for ticket_id, event_id in printed.items():
            if self.waiting.get(ticket_id, event_id + 1) <= event_id:
                del self.waiting[ticket_id]


def printable(store: Store, ticket_ids: Collection[int]) -> list[PaperRow]:
    """Of these tickets those to be printed now: accepted (a question stops it), made, in the house."""
    found: list[PaperRow] = []
    ids = sorted(ticket_ids)
    with store.reading() as session:
        for at in range(0, len(ids), MOST_AT_ONCE):
            named = col(Ticket.id).in_(ids[at : at + MOST_AT_ONCE])
            found += _rows(session, named, _is_current(), _is_in_house())
    return found


def unprinted_papers(store: Store, since: datetime | None = None) -> list[PaperRow]:
    """Papers of open orders that nobody has printed yet, the oldest first; `since`: issued then or later."""
    with store.reading() as session:
        return _rows(session, *_open_and_current(since), _is_unprinted())


def recent_papers(store: Store, since: datetime) -> list[PaperRow]:
    """Papers of open orders that were issued since then, printed or not, the oldest first."""
    with store.reading() as session:
        return _rows(session, *_open_and_current(since))


def papers_of(store: Store, named: Sequence[str]) -> list[PaperRow]:
    """The papers of these orders (by number) and tickets (by code), as they were named, each ticket once."""
    with store.reading() as session:
        rows = [
            row
            for name in named
            for row in _rows(
                session,
                or_(Ticket.code == name, Order.number == name),
                col(Ticket.withdrawn).is_(False),
                col(Ticket.papered_revision) > 0,
            )
        ]
    return list({row.code: row for row in rows}.values())


def _open_and_current(since: datetime | None) -> list[Any]:
    where = [col(Item.order_id).in_(_open_orders()), _is_current(), _is_in_house()]
    return [*where, col(Ticket.issued_at) >= since] if since else where


def _open_orders() -> Any:
    return select(Order.id).where(col(Order.closed_at).is_(None))


def _is_current() -> Any:
    # Not the bare column: nearly every item ever made is accepted, so its index would lead astray.
    is_accepted = func.coalesce(Item.standing, "") == ACCEPTED
    return (
        is_accepted & col(Ticket.withdrawn).is_(False) & (col(Ticket.papered_revision) >= col(Item.revision))
    )


def _is_in_house() -> Any:
    return exists().where(col(Lot.ticket_id) == col(Ticket.id), col(Lot.place).not_in(ENDS))


def _is_unprinted() -> Any:
    printed, made = aliased(Event), aliased(Event)
    last_made = (
        select(func.max(made.id))
        .where(col(made.ticket_id) == col(Ticket.id), made.kind == PAPERED)
        .correlate(Ticket)  # by itself it would only look one question up, and take the newest of all tickets
        .scalar_subquery()
    )
    is_of_it: Any = col(printed.payload)["of"].as_integer() >= last_made
    is_answer = col(printed.kind) == PRINTED
    return ~exists().where(col(printed.ticket_id) == col(Ticket.id), is_answer, is_of_it)


def _rows(session: Session, *where: Any) -> list[PaperRow]:
    asked = (
        select(Ticket, Item, Order)
        .join(Item, col(Item.id) == col(Ticket.item_id))
        .join(Order, col(Order.id) == col(Item.order_id))
        .where(*where)
        .order_by(col(Ticket.id))
        .limit(MOST_LISTED)
    )
    found = list(session.exec(asked))
    events = _events(session, [ticket.id for ticket, _, _ in found if ticket.id is not None])
    return [_row(ticket, item, order, events.get(ticket.id or 0, [])) for ticket, item, order in found]


def _events(session: Session, ids: Sequence[int]) -> dict[int, list[Event]]:
    events: dict[int, list[Event]] = {}
    for at in range(0, len(ids), MOST_AT_ONCE):
        asked = (
            select(Event)
            .where(
                col(Event.ticket_id).in_(ids[at : at + MOST_AT_ONCE]),
                col(Event.kind).in_((PAPERED, ASKED, PRINTED)),
            )
            .order_by(col(Event.id))
        )
        for event in session.exec(asked):
            events.setdefault(event.ticket_id or 0, []).append(event)
    return events


def _row(ticket: Ticket, item: Item, order: Order, events: Sequence[Event]) -> PaperRow:
    made = max((e.id or 0 for e in events if e.kind == PAPERED), default=0)
    asked = max((e.id or 0 for e in events if e.kind in (PAPERED, ASKED)), default=0)
    answered = max((int(e.payload["of"]) for e in events if e.kind == PRINTED), default=-1)
    wanted = max(
        (e.id or 0 for e in events if e.kind == ASKED or e.payload.get("print")),
        default=-1,
    )
    printed = [e.at for e in events if e.kind == PRINTED and int(e.payload["of"]) >= made]
    assert ticket.id is not None  # read from the books, so it has one
    return PaperRow(
        ticket_id=ticket.id,
        code=ticket.code,
        order=order.number,
        customer=order.customer_name,
        artwork=item.artwork,
        quantity=ticket.quantity,
        issued_at=ticket.issued_at,
        asked=asked,
        printed_at=printed[-1] if printed else None,
        is_at_printer=wanted > answered,
    )
