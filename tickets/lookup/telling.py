"""What customers are to be told and were told: what is due now, and the whole list with what became of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import exists
from sqlalchemy.orm import aliased
from sqlmodel import col, func, select

from tickets.lookup.answers import utc_text
from tickets.models import Item, Movement, Order, Scan, Ticket
from tickets.models_telling import Telling
from tickets.places import DISPATCHED
from tickets.store import Store
from tickets.wording_telling import no_such_message


@dataclass(frozen=True, slots=True)
class TellingAnswer:
    """One message: what of, to whom, and what became of it."""

    telling_id: int
    order: str
    customer: str
    kind: str
    about: str
    standing: str
    facts: Mapping[str, Any]
    at: datetime
    due_at: datetime
    file: str
    address: str
    written_at: datetime | None
    sent_at: datetime | None
    tries: int
    next_try_at: datetime | None
    says: str

    def as_json(self) -> dict[str, Any]:
        """Plain values, times in UTC."""
        return {
            "message": self.telling_id,
            "order": self.order,
            "customer": self.customer,
            "kind": self.kind,
            "standing": self.standing,
            "to": self.address or None,
            "file": self.file or None,
            "happened": utc_text(self.at),
            "due": utc_text(self.due_at),
            "written": utc_text(self.written_at),
            "sent": utc_text(self.sent_at),
            "tries": self.tries,
            "next_try": utc_text(self.next_try_at),
            "says": self.says or None,
        }


def due_tellings(store: Store, now: datetime) -> list[TellingAnswer]:
    """What is to be written now, in the order in which it happened."""
    return _tellings(store, Telling.standing == "due", col(Telling.due_at) <= now)


def unsent_tellings(store: Store, kinds: Sequence[str], now: datetime) -> list[TellingAnswer]:
    """Written messages of these kinds that are to be sent and whose next try is due, as they happened."""
    wanted = (Telling.standing == "written", col(Telling.kind).in_(kinds))
    return _tellings(store, *wanted, col(Telling.next_try_at) <= now)


def list_tellings(store: Store, order: str = "", most: int = 200) -> list[TellingAnswer]:
    """The last messages, the newest first; of one order, when it is named. Withdrawn ones are left out."""
    wanted = [Order.number == order] if order else []
    return _tellings(store, Telling.standing != "withdrawn", *wanted, newest=most)


def find_telling(store: Store, telling_id: int) -> TellingAnswer:
    """One message that is written. Raises NotFound `no-such-message`."""
    found = _tellings(store, Telling.id == telling_id, Telling.file != "")
    if not found:
        raise no_such_message(telling_id)
    return found[0]


def dispatched_by(store: Store, scans: list[int]) -> dict[int, int]:
    """How many pieces of each item (by its number) scans of one order have sent, undone ones not."""
    undo = aliased(Scan)
    asked = (
        select(Item.number, func.sum(Movement.count))
        .join(Ticket, col(Ticket.item_id) == col(Item.id))
        .join(Movement, col(Movement.ticket_id) == col(Ticket.id))
        .where(
            col(Movement.scan_id).in_(scans),
            Movement.to_place == DISPATCHED,
            ~exists().where(col(undo.undoes_id) == col(Movement.scan_id)),
        )
        .group_by(col(Item.number))
    )
    with store.reading() as session:
        return {number: int(count) for number, count in session.exec(asked)}


def _tellings(store: Store, *where: Any, newest: int | None = None) -> list[TellingAnswer]:
    asked = select(Telling, Order.number, Order.customer_name).join(Order).where(*where)
    in_order = col(Telling.id).desc() if newest else col(Telling.id)
    with store.reading() as session:
        rows = session.exec(asked.order_by(in_order).limit(newest))
        return [_answer(telling, number, customer) for telling, number, customer in rows]


def _answer(telling: Telling, number: str, customer: str) -> TellingAnswer:
    return TellingAnswer(
        telling_id=telling.id or 0,
        order=number,
        customer=customer,
        kind=telling.kind,
        about=telling.about,
        standing=telling.standing,
        facts=dict(telling.facts),
        at=telling.at,
        due_at=telling.due_at,
        file=telling.file,
        address=telling.address,
        written_at=telling.written_at,
        sent_at=telling.sent_at,
        tries=telling.tries,
        next_try_at=telling.next_try_at,
        says=telling.says,
    )
