"""Orders in work that may be late, the soonest due first, each with what helps it most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import col, select

from config.settings import Settings
from tickets.forecast.changes import Hands
from tickets.lookup.answering import Foresee, help_answer
from tickets.lookup.answers import HelpAnswer, utc_text
from tickets.models import Order
from tickets.store import Store
from tickets.wording_risk import say_hands


@dataclass(frozen=True, slots=True)
class RiskAnswer:
    """An order whose time that holds with 90 % is past its due time. `is_looked_at`: for what helps it."""

    order: str
    customer: str
    due_at: datetime
    latest: datetime
    station: str
    helps: HelpAnswer | None
    is_looked_at: bool

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {
            "order": self.order,
            "customer": self.customer,
            "due": utc_text(self.due_at),
            "latest": utc_text(self.latest),
            "limited_by": self.station,
            "helps": self.helps.as_json() if self.helps else None,
        }


@dataclass(frozen=True, slots=True)
class RisksAnswer:
    """The first of them, and how many there are in all."""

    orders: tuple[RiskAnswer, ...]
    count: int
    hands: Hands | None = None  # one more of them where that helps most of these


def hands_json(hands: Hands | None) -> dict[str, Any] | None:
    """One more pair of hands where it helps most, as the JSON of the line has it."""
    if hands is None:
        return None
    told = {"station": hands.station, "in_time": hands.in_time, "of": hands.of}
    return {**told, "says": say_hands(hands)}


def orders_at_risk(store: Store, settings: Settings, now: datetime, foresee: Foresee) -> RisksAnswer:
    """What may be late, as of now."""
    foreseen = foresee()
    helping = foreseen.helping
    first = helping.helped
    customers = customers_of(store, first)
    zone = settings.shop.zone

    def answer(order: str) -> RiskAnswer:
        found, expected = foreseen.help_for(order), foreseen.expected[order]
        return RiskAnswer(
            order=order,
            customer=customers.get(order, ""),
            due_at=helping.at_risk[order],
            latest=expected.latest,
            station=expected.station,
            helps=help_answer(found, now, zone) if found else None,
            is_looked_at=helping.is_known(order),
        )

    is_ready = foreseen.is_patient or all(helping.is_known(order) for order in first)
    hands = helping.hands if is_ready and len(helping.at_risk) > 1 else None
    return RisksAnswer(tuple(answer(order) for order in first), len(helping.at_risk), hands)


def customers_of(store: Store, numbers: Sequence[str]) -> dict[str, str]:
    """The customers' names of these orders, by order number."""
    if not numbers:
        return {}
    with store.reading() as session:
        asked = select(Order.number, Order.customer_name).where(col(Order.number).in_(numbers))
        return dict(session.exec(asked).all())
