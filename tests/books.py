"""A shop's books for tests: orders taken and judged in one call, on a clock that ticks by itself."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlmodel import col, select

from config.settings import Settings
from tests.stores import Home
from tickets.ledger import Ledger
from tickets.ledger.audit import audit
from tickets.models import Event, Item, Lot, Order, Ticket
from tickets.requests import ItemDraft, Judgement, OrderDraft, ScanAnswer, ScanRequest, Taken
from tickets.store import Store

QUERY = {"check": "line-width", "level": "query", "says": "Lines are thin.", "do": "Thicken them."}


@dataclass
class TickingClock:
    """Every look at it is a second later than the last."""

    now: datetime = datetime(2026, 12, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def item_draft(artwork: str = "crest.png", quantity: int = 40, **changes: Any) -> ItemDraft:
    """An item as it is ordered; its artwork's hash is made from the name unless given."""
    known = {"artwork_sha256": f"sha-of-{artwork}", "service": "pressed", "width_mm": 90.0}
    return ItemDraft(artwork=artwork, quantity=quantity, **{**known, **changes})


def order_draft(number: str = "OB-1042", *items: ItemDraft, **changes: Any) -> OrderDraft:
    """An order as it is dropped; one item of forty crests unless told otherwise."""
    known = {
        "customer_name": "Otter Bank Rowing Club",
        "customer_email": "kit@otterbank.example",
        "customer_phone": "+44 1632 960123",
        "document": "{}",
        "document_sha256": f"document of {number}",
        "source_folder": "Otter Bank",
    }
    return OrderDraft(number=number, items=items or (item_draft(),), **{**known, **changes})


@dataclass
class Shopfloor:
    """Open books with a ledger, and what tests ask of them all the time."""

    home: Home
    store: Store
    settings: Settings
    clock: TickingClock = field(default_factory=TickingClock)
    random: random.Random = field(default_factory=lambda: random.Random(7))

    def __post_init__(self) -> None:
        self.ledger = Ledger(self.store, self.settings, self.clock, self.random)

    def with_settings(self, **sections: Any) -> Shopfloor:
        """The same books under other settings."""
        return Shopfloor(
            self.home, self.store, self.settings.model_copy(update=sections), self.clock, self.random
        )

    def take(self, draft: OrderDraft) -> Taken:
        """Take an order without any files."""
        return self.ledger.take_order(draft, [], [])

    def judge(self, number: str, verdict: str = "clear", item: int = 1, **changes: Any) -> None:
        """Book a verdict on the present artwork of an item."""
        row = self.item(number, item)
        findings = {"query": (QUERY,), "refuse": ({**QUERY, "level": "refuse"},)}.get(verdict, ())
        known: dict[str, Any] = {"print_width_mm": 90.0, "print_height_mm": 81.4, "measures": {}}
        known["findings"] = findings
        self.ledger.book_judgement(
            Judgement(item_id=row.id or 0, revision=row.revision, verdict=verdict, **{**known, **changes})
        )

    def accept(self, draft: OrderDraft | None = None) -> list[str]:
        """Take an order whose artwork is all clear; its ticket codes in the order of the items."""
        draft = draft or order_draft()
        self.take(draft)
        for at in range(1, len(draft.items) + 1):
            self.judge(draft.number, item=at)
        return self.codes(draft.number)

    def scan(self, code: str, station: str, good: int | None = None, **more: Any) -> ScanAnswer:
        """Scan a code at a station."""
        return self.ledger.scan(ScanRequest(code, station, good, **more))

    def order(self, number: str) -> Order:
        """An order's row."""
        with self.store.reading() as session:
            return session.exec(select(Order).where(Order.number == number)).one()

    def item(self, number: str, at: int = 1) -> Item:
        """An item's row."""
        with self.store.reading() as session:
            asked = select(Item).join(Order).where(Order.number == number, Item.number == at)
            return session.exec(asked).one()

    def ticket(self, code: str) -> Ticket:
        """A ticket's row."""
        with self.store.reading() as session:
            return session.exec(select(Ticket).where(Ticket.code == code)).one()

    def codes(self, number: str) -> list[str]:
        """The ticket codes of an order, oldest first, withdrawn ones left out."""
        with self.store.reading() as session:
            asked = (
                select(Ticket.code)
                .join(Item)
                .join(Order)
                .where(Order.number == number, col(Ticket.withdrawn).is_(False))
                .order_by(col(Ticket.id))
            )
            return list(session.exec(asked))

    def places(self, code: str) -> dict[str, int]:
        """Where the pieces of a ticket are; those in a run as `place/run`."""
        with self.store.reading() as session:
            asked = select(Lot).join(Ticket).where(Ticket.code == code)
            return {f"{x.place}/{x.run}" if x.run else x.place: x.count for x in session.exec(asked)}

    def events(self) -> list[Event]:
        """Everything that happened, oldest first."""
        with self.store.reading() as session:
            return list(session.exec(select(Event).order_by(col(Event.id))))

    def contradictions(self) -> list[str]:
        """What the books say against themselves; tests want none."""
        return audit(self.store)


@pytest.fixture
def floor(home: Home, store: Store) -> Iterator[Shopfloor]:
    """Open, empty books with a ledger, on either database; whatever a test did, they add up at its end."""
    opened = Shopfloor(home, store, home.settings)
    yield opened
    assert opened.contradictions() == []
