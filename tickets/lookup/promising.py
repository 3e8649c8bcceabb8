"""Promises an order that is not placed yet: from the books and what is asked to the answer for a caller."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import text

from config.settings import Settings
from tickets import wording_promise as words
from tickets.forecast.asked import AskedItem, AskedOrder
from tickets.forecast.model import Work, film_metres, kind_of_work
from tickets.forecast.promising import Delayed, Offer, Promising, Wanted
from tickets.lookup.answers import utc_text
from tickets.lookup.finding import order_number_as_booked
from tickets.lookup.ready import read_ground
from tickets.lookup.risk import customers_of
from tickets.store import Store
from tickets.wording_where import say_day, say_expected

_SHAPE = text(
    """
    SELECT i.print_width_mm, i.print_height_mm FROM items AS i JOIN orders AS o ON o.id = i.order_id
    WHERE o.number = :number AND i.artwork = :artwork AND i.print_width_mm > 0 AND i.print_height_mm > 0
    """
)


@dataclass(frozen=True, slots=True)
class PromiseAnswer:
    """The answer. `offer`: the earliest day that holds; `wished`: the day that was asked for, if any;
    `as_rush`: where that is earlier; `harmless`: the day that makes nobody late, where `offer` does.
    """

    asked: AskedOrder
    offer: Offer
    wished: Offer | None
    as_rush: Offer | None
    harmless: Offer | None
    assumed: tuple[str, ...]
    customers: Mapping[str, str]  # of the orders that are named
    now: datetime
    zone: ZoneInfo

    @property
    def says(self) -> str:
        """What can be read out to the caller: the day, and whether the day wished for holds."""
        ready = self.offer.expected
        expected = say_expected(ready.likely, ready.latest, ready.station, self.now, self.zone)
        said = [words.say_offer(self.offer.due_at, expected, self.now, self.zone)]
        if self.wished:
            day, holds = self.wished.due_at, self.wished.holds
            said.append(words.say_wished(day, holds, self.offer.due_at, self.now, self.zone))
        return " ".join(said)

    @property
    def others(self) -> tuple[str, ...]:
        """What it would do to the others, and how that is avoided: for the desk, not for the caller."""
        said = [self._others(self.offer)]
        if self.wished and self.wished.due_at > self.offer.due_at and self.offer.pushed:
            wished = self._others(self.wished)
            said.append(f"{words.WISHED} {say_day(self.wished.due_at, self.now, self.zone)}: {wished}")
        elif self.harmless:
            said.append(words.say_harmless(self.harmless.due_at, self.now, self.zone))
        if self.as_rush:
            others = self._others(self.as_rush)
            said.append(words.say_rush(self.as_rush.due_at, others, self.now, self.zone))
        return tuple(said)

    @property
    def what(self) -> str:
        """What is promised, and on which condition."""
        return words.say_what(self.asked.pieces, len(self.asked.items))

    def as_json(self) -> dict[str, Any]:
        """The document of `promise --json`: each offer with its day, its times and whom it delays."""
        return {
            "order": self.asked.number or None,
            "pieces": self.asked.pieces,
            "says": self.says,
            "others": list(self.others),
            "promise": self._offer(self.offer),
            "wished": self._offer(self.wished),
            "as_rush": self._offer(self.as_rush),
            "makes_nobody_late": self._offer(self.harmless),
            "assumed": list(self.assumed),
            "questions": list(self.asked.questions),
        }

    def as_lines(self) -> list[str]:
        """The same for people."""
        return [
            f"{self.what}:",
            f"  {self.says}",
            *(f"  {said}" for said in self.others),
            *(f"{words.ASSUMED}: {said}" for said in self.assumed),
            *(f"{words.WOULD_BE_ASKED}: {said}" for said in self.asked.questions),
        ]

    def _others(self, offer: Offer) -> str:
        now, zone = self.now, self.zone
        pushed = [words.say_pushed(d.order, d.due_at, d.then, d.late, now, zone) for d in offer.pushed]
        return words.say_others(pushed, [words.say_worse(d.order, d.later) for d in offer.worse])

    def _offer(self, offer: Offer | None) -> dict[str, Any] | None:
        if offer is None:
            return None
        return {
            "day": f"{offer.due_at.astimezone(self.zone):%Y-%m-%d}",
            "due": utc_text(offer.due_at),
            "rush": offer.rush,
            "ready": {"likely": utc_text(offer.expected.likely), "latest": utc_text(offer.expected.latest)},
            "limited_by": offer.expected.station,
            "holds": round(offer.holds, 3),
            "makes_late": [self._delayed(one) for one in offer.pushed],
            "makes_later": [self._delayed(one) for one in offer.worse],
        }

    def _delayed(self, one: Delayed) -> dict[str, Any]:
        return {
            "order": one.order,
            "customer": self.customers.get(one.order, ""),
            "due": utc_text(one.due_at),
            "latest_without": utc_text(one.was),
            "latest_with": utc_text(one.then),
            "later_minutes": round(one.later),
            "late_minutes": round(one.late),
        }


def promise(store: Store, settings: Settings, asked: AskedOrder, now: datetime) -> PromiseAnswer:
    """The earliest due day of an order that holds in nine futures of ten, and what it does to the others.

    Raises ShopProblem `promise-placed`, `promise-too-large`, `promise-not-in-sight`.
    """
    if asked.number and order_number_as_booked(store, asked.number):
        raise words.already_placed(asked.number)
    known = [_with_size(store, item) for item in asked.items]
    assumed = tuple(said for _, said in known if said)
    promising = _promising(store, settings, [item for item, _ in known], now)
    offer = _earliest(promising, rush=asked.rush)
    if offer is None:
        raise words.not_in_sight()
    wished = promising.offer(asked.due_at, rush=asked.rush) if asked.due_at else None
    rush = None if asked.rush else _earliest(promising, rush=True)
    harmless = promising.harmless(offer) if offer.pushed and not asked.rush else None
    named = [d.order for one in (offer, wished, rush) if one for d in (*one.pushed, *one.worse)]
    return PromiseAnswer(
        asked=asked,
        offer=offer,
        wished=wished,
        as_rush=rush if rush and rush.due_at < offer.due_at else None,
        harmless=harmless,
        assumed=assumed,
        customers=customers_of(store, named),
        now=now,
        zone=settings.shop.zone,
    )


def _earliest(promising: Promising, *, rush: bool) -> Offer | None:
    due = promising.earliest(rush=rush)
    return promising.offer(due, rush=rush) if due else None


def _promising(store: Store, settings: Settings, items: Sequence[AskedItem], now: datetime) -> Promising:
    shop, printable_mm = settings.shop, settings.film.printable_mm

    def wanted(item: AskedItem) -> Wanted:
        width, height = item.width_mm or 0.0, item.height_mm or 0.0
        if min(width, height) > printable_mm:
            raise words.asked_too_large(item.number, width, height, printable_mm)
        metres = film_metres(item.quantity, width, height, printable_mm)
        kind = kind_of_work(item.service, item.film, width, height)
        return Wanted(Work(item.quantity, metres), item.service, kind)

    return Promising(
        read_ground(store, settings, now),
        [wanted(item) for item in items],
        lambda day: datetime.combine(day, shop.closing_time, shop.zone),
    )


def _with_size(store: Store, item: AskedItem) -> tuple[AskedItem, str]:
    """The item with both sides; and what was taken for granted, "" when nothing was."""
    if item.width_mm and item.height_mm:
        return item, ""
    shape = _shape(store, item) if item.artwork_of else None
    high = shape[1] / shape[0] if shape else 1.0
    if item.width_mm:
        side, mm = "height", item.width_mm
        item = replace(item, height_mm=item.width_mm * high)
    else:
        side, mm = "width", item.height_mm or 0.0
        item = replace(item, width_mm=mm / high)
    if shape:
        return item, words.artwork_assumed(item.artwork_of, item.number)
    return item, words.square_assumed(item.number, mm, side)


def _shape(store: Store, item: AskedItem) -> tuple[float, float] | None:
    with store.reading() as session:
        asked = {"number": item.artwork_of, "artwork": item.artwork}
        found = session.connection().execute(_SHAPE, asked).first()
    return (float(found[0]), float(found[1])) if found else None
