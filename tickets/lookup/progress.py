"""What a customer may see of an order: how many pieces are how far, and when it is expected to be ready."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from tickets import wording_progress as wording
from tickets.lookup.answers import ItemAnswer, OrderAnswer, TicketAnswer
from tickets.places import CANCELLED, DISPATCHED


@dataclass(frozen=True, slots=True)
class Stage:
    """So many pieces are so far; `says` in the customer's words."""

    says: str
    pieces: int


@dataclass(frozen=True, slots=True)
class ItemProgress:
    """One item of the order. Each of its pieces is at one stage; `note`: what it waits for."""

    artwork: str
    placement: str
    pieces: int
    stages: tuple[Stage, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Progress:
    """One order as its customer sees it: nothing of other orders, of prices, or of who did what."""

    order: str
    purchase_order: str
    standing_says: str
    expected_says: str  # "" when nobody can tell, or nothing is left to do
    due_says: str
    items: tuple[ItemProgress, ...]
    consignments: tuple[str, ...] = ()  # of what has left the house


def progress_of(order: OrderAnswer, stations: tuple[str, ...], now: datetime, zone: ZoneInfo) -> Progress:
    """What the customer of an order sees; `stations` as on the line, the first and the last at its ends."""
    said = wording.stages(stations)
    by_item = groupby(sorted(order.tickets, key=_number), _number)
    items = {number: _item(list(tickets), order, said) for number, tickets in by_item}
    without = {
        **{one.item: _not_begun(one, "", said) for one in order.unchecked_items},
        **{one.item: _not_begun(one, wording.NOT_PRINTABLE, said) for one in order.refused_items},
    }
    shown = {**items, **without}  # an item that is looked at anew is not in print, whatever it was before
    return Progress(
        order=order.order,
        purchase_order=order.purchase_order,
        standing_says=wording.say_standing(order.standing),
        expected_says=_expected(order.ready, now, zone),
        due_says=order.due_says,
        items=tuple(shown[number] for number in sorted(shown)),
        consignments=order.consignments,
    )


def _number(ticket: TicketAnswer) -> int:
    return ticket.item


def _item(tickets: list[TicketAnswer], order: OrderAnswer, said: Mapping[str, str]) -> ItemProgress:
    """An item with its reprints: what is spoiled is printed again, and nobody is told."""
    first = tickets[0]
    counts: dict[str, int] = {}
    for ticket in tickets:
        ends = {DISPATCHED: ticket.dispatched, CANCELLED: ticket.cancelled}
        for place, count in {**ticket.waiting, **ends}.items():
            counts[place] = counts.get(place, 0) + count
    is_asked = any(one.item == first.item for one in order.queried_items)
    return ItemProgress(
        artwork=first.artwork,
        placement=first.placement,
        pieces=sum(counts.values()),
        stages=_stages(counts, said),
        note=wording.ASKED if is_asked else "",
    )


def _not_begun(item: ItemAnswer, note: str, said: Mapping[str, str]) -> ItemProgress:
    stages = () if note else _stages({wording.CHECKING: item.quantity}, said)
    return ItemProgress(item.artwork, "", item.quantity, stages, note)


def _stages(counts: Mapping[str, int], said: Mapping[str, str]) -> tuple[Stage, ...]:
    """In the order of the line; places that a customer has one word for are one stage."""
    told: dict[str, int] = {}
    for place, words in said.items():
        told[words] = told.get(words, 0) + counts.get(place, 0)
    # A place that the line has no longer: the pieces are in the house, and somebody knows where.
    elsewhere = sum(count for place, count in counts.items() if place not in said)
    told[wording.FINISHING] = told.get(wording.FINISHING, 0) + elsewhere
    return tuple(Stage(words, count) for words, count in told.items() if count)


def _expected(ready: Mapping[str, str | None] | None, now: datetime, zone: ZoneInfo) -> str:
    if not ready or not ready["likely"] or not ready["latest"]:
        return ""
    likely, latest = (datetime.fromisoformat(str(ready[key])) for key in ("likely", "latest"))
    return wording.say_ready_day(likely, latest, now, zone)
