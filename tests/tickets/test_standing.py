"""An order and a ticket stand as the first of the contract's list that fits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickets.standing import ItemState, Pieces, Standing, TicketState, order_standing, ticket_standings

STATIONS = ("print", "powder", "cure", "press", "dispatch")


def ticket(code: str = "A", held: bool = False, reprint_of: str | None = None, **places: int) -> TicketState:
    """A ticket with so many pieces at each place."""
    return TicketState(code, Pieces.at(places), held, reprint_of)


def item(*tickets: TicketState, standing: str = "accepted") -> ItemState:
    """An item with these tickets."""
    return ItemState(standing, tickets)


REFUSED = item(standing="refused")

ORDERS = [
    ("in work", [item(ticket(print=40))], False),
    ("in work", [item(ticket(dispatch=38, spoiled=2), ticket("B", reprint_of="A", cure=2))], False),
    ("in work", [item(ticket(dispatch=20, print=20))], False),
    ("in work", [item(standing="unchecked")], False),
    ("in work", [item(standing="unchecked"), item(ticket(dispatch=5))], False),
    ("in work", [item(ticket(print=5), standing="unchecked")], False),
    ("in work", [item(ticket(dispatched=5)), item(standing="unchecked")], False),
    ("ready", [item(ticket(dispatch=40))], False),
    ("ready", [item(ticket(dispatch=20, dispatched=20))], False),
    ("ready", [item(ticket(dispatch=39, cancelled=1)), item(ticket(dispatched=3))], False),
    ("ready", [item(ticket(dispatch=4)), REFUSED], False),
    ("dispatched", [item(ticket(dispatched=40))], False),
    ("dispatched", [item(ticket(dispatched=38, cancelled=2))], False),
    (
        "dispatched",
        [item(ticket(dispatched=38, spoiled=2), ticket("B", reprint_of="A", dispatched=2))],
        False,
    ),
    ("dispatched", [item(ticket(dispatched=4)), item(ticket("B", cancelled=4))], False),
    ("dispatched", [item(ticket(dispatched=4)), REFUSED], False),
    ("cancelled", [item(ticket(cancelled=40))], False),
    ("cancelled", [item(ticket(cancelled=40))], True),
    ("cancelled", [item(ticket(cancelled=38, spoiled=2), ticket("B", reprint_of="A", cancelled=2))], False),
    ("cancelled", [item(ticket(cancelled=40), standing="queried")], False),
    ("cancelled", [item(ticket(cancelled=4)), REFUSED], False),
    ("refused", [REFUSED], False),
    ("refused", [REFUSED, REFUSED], True),
    ("queried", [item(ticket(print=4), standing="queried")], False),
    ("queried", [item(ticket(print=4), standing="queried"), item(ticket("B", print=4, held=True))], True),
    ("queried", [item(ticket(print=4), standing="queried"), item(ticket("B", dispatched=4))], False),
    ("queried", [item(ticket(print=4), standing="queried"), REFUSED], False),
    ("held", [item(ticket(print=4))], True),
    ("held", [item(ticket(print=4, held=True)), item(ticket("B", dispatch=4))], False),
    ("held", [item(ticket(dispatch=4, held=True))], False),
    ("held", [item(standing="unchecked")], True),
    ("dispatched", [item(ticket(dispatched=4, held=True))], True),
]


@pytest.mark.parametrize(("stands", "items", "held"), ORDERS)
def test_an_order_stands_as_the_first_that_fits(stands: str, items: list[ItemState], held: bool) -> None:
    """Cancelled, refused, queried, held, dispatched, ready, and else in work."""
    assert order_standing(items, is_held=held) == stands


TICKETS = [
    ("in work", item(ticket(print=40)), False),
    ("in work", item(ticket(print=1, dispatch=39)), False),
    ("in work", item(ticket(print=40), standing="unchecked"), False),
    ("ready", item(ticket(dispatch=40)), False),
    ("dispatched", item(ticket(dispatched=38, spoiled=2)), False),
    ("cancelled", item(ticket(cancelled=40)), False),
    ("cancelled", item(ticket(cancelled=38, spoiled=2), ticket("B", reprint_of="A", cancelled=2)), False),
    ("in work", item(ticket(cancelled=38, spoiled=2), ticket("B", reprint_of="A", print=2)), False),
    ("in work", item(ticket(dispatch=38, spoiled=2), ticket("B", reprint_of="A", cure=2)), False),
    ("ready", item(ticket(dispatch=38, spoiled=2), ticket("B", reprint_of="A", dispatch=2)), False),
    (
        "in work",
        item(
            ticket(dispatch=1, spoiled=1),
            ticket("B", reprint_of="A", spoiled=1),
            ticket("C", reprint_of="B", print=1),
        ),
        False,
    ),
    ("queried", item(ticket(print=40, held=True), standing="queried"), False),
    ("held", item(ticket(print=40, held=True)), False),
    ("held", item(ticket(print=40)), True),
    ("in work", item(ticket(spoiled=2), ticket("B", reprint_of="A", print=2)), False),
    ("dispatched", item(ticket(spoiled=2), ticket("B", reprint_of="A", dispatched=2)), False),
    ("ready", item(ticket(spoiled=2), ticket("B", reprint_of="A", dispatch=2)), False),
    (
        "in work",
        item(
            ticket(spoiled=2), ticket("B", reprint_of="A", dispatched=1), ticket("C", reprint_of="A", cure=1)
        ),
        False,
    ),
]


@pytest.mark.parametrize(("stands", "of", "held"), TICKETS)
def test_a_ticket_stands_as_the_first_that_fits(stands: str, of: ItemState, held: bool) -> None:
    """A ticket is no further than the reprints that its spoiled pieces went on to."""
    assert ticket_standings(of, is_held=held)["A"] == stands


places = st.dictionaries(
    st.sampled_from((*STATIONS, "dispatched", "spoiled", "cancelled")), st.integers(1, 50)
)
tickets = st.builds(
    lambda code, p, held: ticket(code, held, **p), st.sampled_from("ABC"), places, st.booleans()
)
items = st.builds(
    lambda standing, ts: ItemState(standing, () if standing in ("unchecked", "refused") else tuple(ts)),
    st.sampled_from(("unchecked", "queried", "accepted", "refused")),
    st.lists(tickets, min_size=1, max_size=3),
)


@given(st.lists(items, min_size=1, max_size=4), st.booleans())
def test_the_order_of_items_makes_no_difference(several: list[ItemState], held: bool) -> None:
    """An order stands the same however its items are listed."""
    assert order_standing(several, is_held=held) == order_standing(several[::-1], is_held=held)


@given(st.lists(items, min_size=1, max_size=4), st.booleans())
def test_what_waits_is_never_called_gone(several: list[ItemState], held: bool) -> None:
    """While a piece waits or an item is being checked, no order is dispatched, cancelled or refused."""
    waits = any(t.pieces.in_house for i in several for t in i.tickets)
    if waits or any(i.standing == "unchecked" for i in several):
        gone = (Standing.DISPATCHED, Standing.CANCELLED, Standing.REFUSED)
        assert order_standing(several, is_held=held) not in gone


@given(places, places)
def test_pieces_add_up(one: dict[str, int], other: dict[str, int]) -> None:
    """Two tickets together hold exactly the pieces that each held."""
    both = Pieces.at(one) + Pieces.at(other)
    assert both.in_house + both.dispatched + both.spoiled + both.cancelled == sum(one.values()) + sum(
        other.values()
    )
