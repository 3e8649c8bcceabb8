"""One order as the books have it now: its items, their tickets, and where the pieces are. Plain values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tickets.standing import ItemState, Pieces, Standing, TicketState, order_standing, ticket_standings

Finding = dict[str, Any]  # as `check --json` has it


@dataclass(frozen=True, slots=True)
class LastScan:
    """What the last scan of a ticket at a station did, unless it was taken back."""

    at: datetime
    station: str
    good: int
    spoiled: int
    by: str


@dataclass(frozen=True, slots=True)
class TicketFacts:
    """One ticket. `runs` are the film runs that pieces of it are in."""

    code: str
    quantity: int
    reprint_of: str | None
    held_why: str | None
    pieces: Pieces
    rush: bool = False
    runs: tuple[str, ...] = ()
    last: LastScan | None = None


@dataclass(frozen=True, slots=True)
class ItemFacts:
    """One item with its tickets, reprints too. `standing` as in the books, unchecked included."""

    number: int
    artwork: str
    artwork_sha256: str
    quantity: int
    service: str
    standing: str
    garment: str = ""
    placement: str = ""
    findings: tuple[Finding, ...] = ()
    order_queries: tuple[Finding, ...] = ()
    refused_slug: str = ""
    tickets: tuple[TicketFacts, ...] = ()

    @property
    def questions(self) -> tuple[Finding, ...]:
        """What the customer is asked about this item."""
        asked = (*self.order_queries, *(f for f in self.findings if f.get("level") == "query"))
        return tuple({str(f.get("says")): f for f in asked}.values())

    @property
    def state(self) -> ItemState:
        """The item as far as standings go."""
        tickets = (TicketState(t.code, t.pieces, t.held_why is not None, t.reprint_of) for t in self.tickets)
        return ItemState(self.standing, tuple(tickets))


@dataclass(frozen=True, slots=True)
class OrderFacts:
    """One order with its items. `due` as the order file wrote it, `due_at` in UTC."""

    order_id: int
    number: str
    customer: str
    email: str
    phone: str
    purchase_order: str
    due: str
    due_at: datetime | None
    held_why: str | None
    rush: bool
    taken_at: datetime
    items: tuple[ItemFacts, ...] = ()
    shelf: str = ""  # where what is ready lies
    told_day: str = ""  # the new day of a late order that its customer was told: 2026-12-09
    consignments: tuple[str, ...] = ()  # numbers of parcels that have left the house
    collected_by: tuple[str, ...] = ()  # who came for what was handed over

    @property
    def tickets(self) -> tuple[tuple[ItemFacts, TicketFacts], ...]:
        """Every ticket with its item."""
        return tuple((item, ticket) for item in self.items for ticket in item.tickets)

    @property
    def standing(self) -> Standing:
        """What the order stands as."""
        return order_standing([item.state for item in self.items], is_held=self.held_why is not None)

    def ticket_standings(self) -> dict[str, Standing]:
        """What each of its tickets stands as, by code."""
        is_held = self.held_why is not None
        told = (ticket_standings(item.state, is_held=is_held) for item in self.items)
        return {code: standing for standings in told for code, standing in standings.items()}
