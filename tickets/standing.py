"""What a ticket or an order stands as: the first that fits, told from where its pieces are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from tickets.places import CANCELLED, DISPATCHED, ENDS, SPOILED

LAST_STATION = "dispatch"  # pieces that wait there are ready
UNCHECKED, QUERIED, ACCEPTED, REFUSED = (
    "unchecked",
    "queried",
    "accepted",
    "refused",
)  # what an item stands as


class Standing(StrEnum):
    """What an order or a ticket stands as, in the words of the contract."""

    QUERIED = "queried"
    HELD = "held"
    IN_WORK = "in work"
    READY = "ready"
    DISPATCHED = "dispatched"
    CANCELLED = "cancelled"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Pieces:
    """Where the pieces of one ticket are; waiting + dispatched + spoiled + cancelled is its quantity."""

    waiting: Mapping[str, int]  # station → pieces; stations where none wait may be left out
    dispatched: int = 0
    spoiled: int = 0  # they live on as pieces of a reprint
    cancelled: int = 0

    @classmethod
    def at(cls, places: Mapping[str, int]) -> Pieces:
        """The pieces of one ticket from its lots summed by place, as the books have them."""
        waiting = {place: count for place, count in places.items() if place not in ENDS and count}
        return cls(waiting, places.get(DISPATCHED, 0), places.get(SPOILED, 0), places.get(CANCELLED, 0))

    @property
    def in_house(self) -> int:
        """The pieces that still wait somewhere."""
        return sum(self.waiting.values())

    @property
    def wait_only_at_dispatch(self) -> bool:
        """Whether every piece in the house has nothing before it but dispatch."""
        return self.waiting.get(LAST_STATION, 0) == self.in_house

    def __add__(self, other: Pieces) -> Pieces:
        waiting = dict(self.waiting)
        for place, count in other.waiting.items():
            waiting[place] = waiting.get(place, 0) + count
        return Pieces(
            waiting,
            self.dispatched + other.dispatched,
            self.spoiled + other.spoiled,
            self.cancelled + other.cancelled,
        )


@dataclass(frozen=True, slots=True)
class TicketState:
    """One ticket as far as its standing goes."""

    code: str
    pieces: Pieces
    is_held: bool = False
    reprint_of: str | None = None


@dataclass(frozen=True, slots=True)
class ItemState:
    """One item as far as standings go: `unchecked`, `queried`, `accepted` or `refused`, and its tickets."""

    standing: str
    tickets: tuple[TicketState, ...] = field(default=())

    @property
    def is_open(self) -> bool:
        """Whether a question about it still matters: not when all of its pieces are gone or cancelled."""
        return not self.tickets or any(ticket.pieces.in_house for ticket in self.tickets)


def order_standing(items: Sequence[ItemState], *, is_held: bool = False) -> Standing:
    """What an order stands as: the first of the contract's list that fits.

    Only what is still in the house can be queried or held. An item that is being checked is work. Pieces of
    refused items are counted apart; cancelled pieces beside refused items leave nothing, which is cancelled.
    """
    pieces = sum_pieces(ticket for item in items for ticket in item.tickets)
    open_items = [item for item in items if item.is_open and item.standing != REFUSED]
    nothing_left = not open_items and not pieces.dispatched
    if nothing_left and pieces.cancelled:
        return Standing.CANCELLED
    if items and all(item.standing == REFUSED for item in items) and nothing_left:
        return Standing.REFUSED
    if any(item.standing == QUERIED for item in open_items):
        return Standing.QUERIED
    is_a_ticket_held = any(t.is_held and t.pieces.in_house for item in items for t in item.tickets)
    if is_a_ticket_held or (is_held and open_items):
        return Standing.HELD
    if not open_items:
        return Standing.DISPATCHED
    if (
        all(item.standing == ACCEPTED and item.tickets for item in open_items)
        and pieces.wait_only_at_dispatch
    ):
        return Standing.READY
    return Standing.IN_WORK


def ticket_standings(item: ItemState, *, is_held: bool = False) -> dict[str, Standing]:
    """What each ticket of an item stands as, by code; `is_held` when their order is.

    Its spoiled pieces live on in its reprints: while those are in work, so is the ticket, though the
    rest of it may wait at dispatch.
    """
    return {ticket.code: _ticket_standing(ticket, item, is_held) for ticket in item.tickets}


def _ticket_standing(ticket: TicketState, item: ItemState, is_held: bool) -> Standing:
    family = sum_pieces(_with_reprints(ticket, item.tickets))
    if not family.in_house:
        return Standing.DISPATCHED if family.dispatched else Standing.CANCELLED
    if item.standing == QUERIED:
        return Standing.QUERIED
    if ticket.pieces.in_house and (ticket.is_held or is_held):
        return Standing.HELD
    is_ready = item.standing == ACCEPTED and family.wait_only_at_dispatch
    return Standing.READY if is_ready else Standing.IN_WORK


def _with_reprints(ticket: TicketState, tickets: Sequence[TicketState]) -> Iterator[TicketState]:
    yield ticket
    for other in tickets:
        if other.reprint_of == ticket.code:
            yield from _with_reprints(other, tickets)


def sum_pieces(tickets: Iterable[TicketState]) -> Pieces:
    """The pieces of several tickets together."""
    return sum((ticket.pieces for ticket in tickets), Pieces({}))
