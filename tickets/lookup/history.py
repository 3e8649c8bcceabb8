"""What happened to an order, in the order in which it happened, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from tickets.lookup.answers import utc_text
from tickets.lookup.finding import order_not_known
from tickets.models import Event, Item, Order, Ticket
from tickets.store import Store
from tickets.wording_history import say_event, say_item


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One thing that happened: when, of what kind, to what, by whom, and in a sentence."""

    at: datetime
    kind: str
    item: int | None  # number of the item
    code: str | None  # of the ticket
    by: str
    says: str

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {
            "at": utc_text(self.at),
            "kind": self.kind,
            "item": self.item,
            "code": self.code,
            "by": self.by,
            "says": self.says,
        }


def order_history(store: Store, number: str) -> list[HistoryLine]:
    """Everything that happened to an order, its items and its tickets, oldest first.

    Raises NotFound `order-not-known`.
    """
    with store.reading() as session:
        order_id = session.exec(select(Order.id).where(Order.number == number)).first()
        if order_id is None:
            raise order_not_known(number)
        return _lines(session, order_id, number)


def _lines(session: Session, order_id: int, number: str) -> list[HistoryLine]:
    asked = (
        select(Event, Item.number, Item.artwork, Ticket.code)
        .join(Item, col(Item.id) == col(Event.item_id), isouter=True)
        .join(Ticket, col(Ticket.id) == col(Event.ticket_id), isouter=True)
        .where(col(Event.order_id) == order_id)
        .order_by(col(Event.id))
    )
    return [_line(event, item, artwork, code, number) for event, item, artwork, code in session.exec(asked)]


def _line(event: Event, item: int | None, artwork: str | None, code: str | None, number: str) -> HistoryLine:
    subject = code or (say_item(item, artwork or "") if item is not None else number)
    says = say_event(event.kind, subject, event.payload)
    return HistoryLine(event.at, event.kind, item, code, event.by, says[:1].upper() + says[1:])
