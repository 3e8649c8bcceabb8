"""From the facts of an order to the answer about it, in the shop's own line and time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Protocol
from zoneinfo import ZoneInfo

from config.settings import Settings
from tickets.lookup.answers import HelpAnswer, ItemAnswer, OrderAnswer, TicketAnswer, utc_text
from tickets.order_facts import Finding, ItemFacts, OrderFacts, TicketFacts
from tickets.standing import QUERIED, REFUSED, UNCHECKED, Standing
from tickets.wording_risk import say_foreseen, say_help
from tickets.wording_where import say_due, say_order, say_ticket, say_told_day

if TYPE_CHECKING:
    from tickets.forecast.changes import Help
    from tickets.forecast.expected import Expected
    from tickets.lookup.foreseeing import Foreseen


_GONE = (Standing.DISPATCHED, Standing.CANCELLED, Standing.REFUSED)  # nothing of it is in the house


class Foresee(Protocol):
    """The forecast; costs a simulation, so it is asked only if needed."""

    def __call__(self, order: str = "", /) -> Foreseen:
        """One that knows what was booked last of this order."""
        ...


@dataclass(frozen=True, slots=True)
class Answering:
    """What every answer needs to know of the shop: its stations, its time zone, and what time it is."""

    stations: tuple[str, ...]
    zone: ZoneInfo
    now: datetime
    foresee: Foresee | None = None
    tells_help: bool = True

    @classmethod
    def of(
        cls,
        settings: Settings,
        now: datetime,
        foresee: Foresee | None = None,
    ) -> Answering:
        """Answers for this shop at this moment; `foresee` is only asked when an order is in work."""
        return cls(tuple(station.name for station in settings.station), settings.shop.zone, now, foresee)

    @property
    def today(self) -> date:
        """The day that it is in the shop."""
        return self.now.astimezone(self.zone).date()

    def order(self, order: OrderFacts) -> OrderAnswer:
        """The whole answer about one order."""
        standings = order.ticket_standings()
        ready, age = self._expected(order)
        told_day = order.told_day if order.standing not in _GONE else ""
        is_at_risk = bool(ready and order.due_at and ready.latest > order.due_at)
        expected = say_foreseen(ready, age, is_at_risk, self.now, self.zone) if ready else ""
        return OrderAnswer(
            order=order.number,
            customer=order.customer,
            email=order.email,
            phone=order.phone,
            purchase_order=order.purchase_order,
            due=order.due,
            due_says=say_due(order, self.now, self.zone),
            standing=order.standing,
            says=say_order(order, self.stations, self.now, self.zone, expected),
            held=order.held_why,
            rush=order.rush,
            taken_at=order.taken_at,
            tickets=tuple(self._ticket(order, i, t, standings[t.code]) for i, t in order.tickets),
            refused_items=tuple(_item(i, i.findings) for i in order.items if i.standing == REFUSED),
            queried_items=tuple(_item(i, i.questions) for i in order.items if i.standing == QUERIED),
            unchecked_items=tuple(_item(i, ()) for i in order.items if i.standing == UNCHECKED),
            ready=ready_text(ready, self.now - age if age else None) if ready else None,
            limited_by=ready.station if ready else None,
            told_day=told_day,
            told_says=say_told_day(date.fromisoformat(told_day), self.now, self.zone) if told_day else "",
            shelf=order.shelf if order.standing not in _GONE else "",
            consignments=order.consignments,
            collected_by=order.collected_by,
            is_at_risk=is_at_risk,
            helps=self._helps(order.number) if is_at_risk else None,
        )

    def _expected(self, order: OrderFacts) -> tuple[Expected | None, timedelta | None]:
        """When it is ready, and how old that is; None when nobody can tell: it waits for somebody, or is."""
        is_checked = all(item.standing != UNCHECKED for item in order.items)
        if self.foresee is None or order.standing is not Standing.IN_WORK or not is_checked:
            return None, None
        foreseen = self.foresee(order.number)
        return foreseen.expected.get(order.number), foreseen.age

    def _helps(self, order: str) -> HelpAnswer | None:
        help_found = self.foresee().help_for(order) if self.foresee and self.tells_help else None
        return help_answer(help_found, self.now, self.zone) if help_found else None

    def _ticket(
        self, order: OrderFacts, item: ItemFacts, ticket: TicketFacts, standing: Standing
    ) -> TicketAnswer:
        pieces = ticket.pieces
        elsewhere = [place for place in pieces.waiting if place not in self.stations]
        return TicketAnswer(
            code=ticket.code,
            order=order.number,
            item=item.number,
            reprint_of=ticket.reprint_of,
            artwork=item.artwork,
            artwork_sha256=item.artwork_sha256,
            quantity=ticket.quantity,
            standing=standing,
            waiting={place: pieces.waiting.get(place, 0) for place in (*self.stations, *elsewhere)},
            dispatched=pieces.dispatched,
            spoiled=pieces.spoiled,
            cancelled=pieces.cancelled,
            last=ticket.last,
            held=ticket.held_why,
            runs=ticket.runs,
            garment=item.garment,
            placement=item.placement,
            says=say_ticket(pieces, self.stations),
        )


def ready_text(ready: Expected, at: datetime | None) -> dict[str, str | None]:
    """`ready` as the JSON has it; `at`: when it was looked at, where that is a while ago."""
    times = {"likely": utc_text(ready.likely), "latest": utc_text(ready.latest)}
    return times | ({"as_of": utc_text(at)} if at else {})


def help_answer(found: Help, now: datetime, zone: ZoneInfo) -> HelpAnswer:
    """What helps most, as the doors tell it."""
    return HelpAnswer(
        change=str(found.change),
        station=found.station or None,
        latest=found.latest,
        holds=found.holds,
        pieces=found.pieces or None,
        says=say_help(found, now, zone),
        pushes=found.pushes,
    )


def _item(item: ItemFacts, findings: tuple[Finding, ...]) -> ItemAnswer:
    return ItemAnswer(
        item=item.number,
        artwork=item.artwork,
        artwork_sha256=item.artwork_sha256,
        quantity=item.quantity,
        findings=findings,
        slug=item.refused_slug,
    )
