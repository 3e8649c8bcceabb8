"""A shop for tests of answers: real books, written by the real ledger, on a clock that tests move."""

from __future__ import annotations

import hashlib
import json
import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlmodel import col, select

from config.settings import Settings
from tests.stores import settings_with
from tickets.ledger import Ledger
from tickets.lookup import where_is
from tickets.lookup.answers import OrderAnswer, WhereAnswer
from tickets.models import Item, Order, Ticket
from tickets.requests import ItemDraft, Judgement, OrderDraft, ScanRequest
from tickets.store import Store

WEDNESDAY = datetime(2026, 12, 2, 10, 0, tzinfo=UTC)
THIN: dict[str, Any] = {
    "check": "line-width",
    "level": "query",
    "measured": 0.21,
    "limit": 0.3,
    "unit": "mm",
    "places_mm": [],
    "says": "The thinnest line is 0.21 mm.",
    "do": "Make it thicker.",
}
BROKEN: dict[str, Any] = {
    "check": "file",
    "level": "refuse",
    "measured": None,
    "limit": None,
    "unit": None,
    "places_mm": [],
    "says": "The file cannot be read as a picture.",
    "do": "Send it again.",
}


def item(artwork: str = "crest.png", quantity: int = 40, **more: Any) -> ItemDraft:
    """One ordered item; its artwork's bytes are told by its name."""
    return ItemDraft(
        artwork=artwork,
        artwork_sha256=hashlib.sha256(artwork.encode()).hexdigest(),
        quantity=quantity,
        service=more.pop("service", "pressed"),
        width_mm=90.0,
        **more,
    )


@dataclass
class FrontDesk:
    """Takes orders, has them judged and scanned, and asks where they are."""

    store: Store
    settings: Settings = field(default_factory=settings_with)
    now: datetime = WEDNESDAY

    def __post_init__(self) -> None:
        self.ledger = Ledger(self.store, self.settings, lambda: self.now, random.Random(7))

    def take(
        self,
        number: str = "OB-1042",
        customer: str = "Otter Bank Rowing Club",
        items: Sequence[ItemDraft] | None = None,
        *,
        verdicts: Sequence[str] = ("clear",),
        **more: Any,
    ) -> list[str]:
        """Take an order, have its items judged in turn ("" leaves one unchecked), and give its codes."""
        items = [item()] if items is None else items
        due = more.pop("due", "2026-12-04")
        due_at = datetime.fromisoformat(due + "T17:00:00+00:00") if len(due) == 10 else None
        document = json.dumps([number, customer, [i.artwork for i in items]])
        draft = OrderDraft(
            number=number,
            customer_name=customer,
            document=document,
            document_sha256=hashlib.sha256(document.encode()).hexdigest(),
            items=tuple(items),
            due=due,
            due_at=more.pop("due_at", due_at),
            **more,
        )
        originals = {i.artwork_sha256: 1000 for i in items}
        self.ledger.take_order(draft, [], list(originals.items()))
        for at in range(len(items)):
            verdict = verdicts[at % len(verdicts)]
            if verdict:
                self.judge(number, at + 1, verdict)
        return self.codes(number)

    def judge(self, number: str, item_number: int, verdict: str) -> None:
        """The preflight's answer about one item."""
        answers: dict[str, tuple[dict[str, Any], ...]] = {"query": (THIN,), "refuse": (BROKEN,)}
        with self.store.reading() as session:
            row = session.exec(
                select(Item).join(Order).where(Order.number == number, Item.number == item_number)
            ).one()
        slug = "artwork-unreadable" if verdict == "refuse" else ""
        self.ledger.book_judgement(
            Judgement(row.id or 0, row.revision, verdict, 90.0, 81.4, answers.get(verdict, ()), {}, slug)
        )

    def codes(self, number: str) -> list[str]:
        """The codes of an order's tickets, the oldest first."""
        with self.store.reading() as session:
            asked = select(Ticket.code).join(Item).join(Order).where(Order.number == number)
            return list(session.exec(asked.order_by(col(Ticket.id))))

    def scan(self, code: str, *stations: str, **numbers: Any) -> str | None:
        """Scan at one station after the other, a minute apart; gives the code of the last reprint."""
        reprint = None
        for station in stations:
            self.now += timedelta(minutes=1)
            request = replace(ScanRequest(code=code, station=station, by="Ines"), **numbers)
            reprint = self.ledger.scan(request).reprint or reprint
        return reprint

    def where(self, words: str, limit: int = 20) -> WhereAnswer:
        """Where is it, as the desk asks."""
        return where_is(self.store, self.settings, words, limit, self.now)

    def numbers(self, words: str) -> list[str]:
        """The numbers of the orders that are found, best first."""
        return [order.order for order in self.where(words).orders]

    def one(self, words: str) -> OrderAnswer:
        """The one order that is found."""
        (order,) = self.where(words).orders
        return order
