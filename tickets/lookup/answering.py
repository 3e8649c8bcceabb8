"""From the facts of an order to the answer about it, in the shop's own line and time."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from config.settings import Settings
from tickets.lookup.answers import ItemAnswer, OrderAnswer, TicketAnswer, utc_text
from tickets.order_facts import Finding, ItemFacts, OrderFacts, TicketFacts
from tickets.standing import QUERIED, REFUSED, UNCHECKED, Standing
from tickets.wording_where import say_due, say_expected, say_order, say_ticket

if TYPE_CHECKING:
    from tickets.forecast.answering import Expected


_GONE = (Standing.DISPATCHED, Standing.CANCELLED, Standing.REFUSED)  # nothing of it is in the house
Foresee = Callable[
    [], Mapping[str, "Expected"]
]  # by order number; costs a simulation, so asked only if needed


@dataclass(frozen=True, slots=True)
class Answering:
    """What every answer needs to know of the shop: its stations, its time zone, and what time it is."""

    stations: tuple[str, ...]
    zone: ZoneInfo
    now: datetime
    foresee: Foresee | None = None

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
        ready = self._expected(order)
        expected = (
            say_expected(ready.likely, ready.latest, ready.station, self.now, self.zone) if ready else ""
        )
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
            ready={"likely": utc_text(ready.likely), "latest": utc_text(ready.latest)} if ready else None,
            limited_by=ready.station if ready else None,
            shelf=order.shelf if order.standing not in _GONE else "",
            consignments=order.consignments,
            collected_by=order.collected_by,
            is_at_risk=bool(ready and order.due_at and ready.latest > order.due_at),
        )

    def _expected(self, order: OrderFacts) -> Expected | None:
        """When it is ready; None when nobody can tell: it waits for somebody, or nothing is left to do."""
        is_checked = all(item.standing != UNCHECKED for item in order.items)
        if self.foresee is None or order.standing is not Standing.IN_WORK or not is_checked:
            return None
        return self.foresee().get(order.number)

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


def _item(item: ItemFacts, findings: tuple[Finding, ...]) -> ItemAnswer:
    return ItemAnswer(
        item=item.number,
        artwork=item.artwork,
        artwork_sha256=item.artwork_sha256,
        quantity=item.quantity,
        findings=findings,
        slug=item.refused_slug,
    )
