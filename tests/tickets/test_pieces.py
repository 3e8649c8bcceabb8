"""Scans, cancellations and undos as plans: what they move, what they refuse, and that no piece is lost."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.settings import StationSettings, load_settings
from tickets.pieces import PiecesLost, Spot, Step, TicketNow, fold, move
from tickets.plans import (
    Ask,
    Plan,
    plan_cancel,
    plan_order_dispatch,
    plan_run_scan,
    plan_scan,
    plan_undo,
    require_whole_dispatch,
)
from tickets.problems import ShopProblem
from tickets.route import Route

SHIPPED = Route.of(load_settings(None))
RUN = "R01X"


def route_with(**changes: dict[str, Any]) -> Route:
    """The shipped line with other rules for some stations, as station={setting: value}."""
    settings = load_settings(None)
    line = tuple(StationSettings(**{**s.model_dump(), **changes.get(s.name, {})}) for s in settings.station)
    return Route.of(settings.model_copy(update={"station": line}))


def ticket(service: str = "pressed", **where: int) -> TicketNow:
    """A ticket with so many pieces at each place: ticket(print=10, press=2)."""
    return TicketNow("7K3Q9XZ", service, {Spot(place): count for place, count in where.items()}, order="OB-1")


def places_after(now: TicketNow, plan: Plan) -> dict[str, int]:
    """Where the pieces are once a plan is carried out."""
    return {spot.place: count for spot, count in move(now.lots, plan.steps).items()}


def test_a_scan_without_numbers_moves_all_that_wait_there() -> None:
    """The work at a station is done for the pieces that wait there, and for no others."""
    now = ticket(print=30, powder=10)
    plan = plan_scan(SHIPPED, now, Ask("print"))
    assert (plan.good, plan.spoiled, plan.to) == (30, 0, "powder")
    assert places_after(now, plan) == {"powder": 40}


def test_good_and_spoiled_are_counted_apart() -> None:
    """38 good and 2 spoiled of 40: 38 move on, 2 are lost."""
    now = ticket(press=40)
    plan = plan_scan(SHIPPED, now, Ask("press", 38, 2, "peeled badly"))
    assert places_after(now, plan) == {"dispatch": 38, "spoiled": 2}


def test_spoiled_alone_moves_none_on() -> None:
    """The good ones of the stack are not done yet."""
    now = ticket(press=40)
    assert places_after(now, plan_scan(SHIPPED, now, Ask("press", spoiled=2, why="x"))) == {
        "press": 38,
        "spoiled": 2,
    }


@pytest.mark.parametrize(
    ("now", "ask", "slug"),
    [
        (ticket(print=40), Ask("press"), "nothing-waits-here"),
        (ticket(dispatch=40), Ask("press"), "nothing-waits-here"),
        (ticket(press=4), Ask("press", 3, 2, "x"), "more-than-waits"),
        (ticket(press=4), Ask("press", 5), "more-than-waits"),
        (ticket(press=4, print=9), Ask("press", 5), "more-than-waits"),
        (ticket("transfers", print=4), Ask("press"), "not-on-route"),
        (ticket(press=4), Ask("press", spoiled=1), "spoiled-needs-why"),
        (ticket(press=4), Ask("press", 0), "nothing-asked"),
        (ticket(press=4), Ask("press", -1), "bad-number"),
        (ticket(press=4), Ask("press", 2, -1), "bad-number"),
        (ticket(press=4), Ask("mars"), "no-such-station"),
    ],
)
def test_what_cannot_be_is_refused_whole(now: TicketNow, ask: Ask, slug: str) -> None:
    """Nothing moves, and the problem has its slug."""
    with pytest.raises(ShopProblem) as refused:
        plan_scan(SHIPPED, now, ask)
    assert refused.value.slug == slug


def test_the_refusal_says_where_the_pieces_are() -> None:
    """A wrong station is explained: so many here, so many there."""
    with pytest.raises(ShopProblem) as refused:
        plan_scan(SHIPPED, ticket(print=30, powder=8, spoiled=2), Ask("press"))
    assert refused.value.says == "Nothing of 7K3Q9XZ waits at press: 30 at print, 8 at powder, 2 spoiled."
    assert "--catch-up" in refused.value.do


@pytest.mark.parametrize(
    ("changes", "slug"),
    [
        ({"standing": "queried"}, "ticket-queried"),
        ({"standing": "unchecked"}, "ticket-unchecked"),
        ({"held_why": "size may change"}, "ticket-held"),
        ({"order_held_why": "not paid"}, "ticket-held"),
    ],
)
def test_stopped_tickets_take_no_scan(changes: dict[str, str], slug: str) -> None:
    """An open question or a hold stops pieces where they are."""
    now = TicketNow("7K3Q9XZ", "pressed", {Spot("print"): 4}, order="OB-1", **changes)
    with pytest.raises(ShopProblem) as refused:
        plan_scan(SHIPPED, now, Ask("print"))
    assert refused.value.slug == slug


def test_catch_up_books_the_missed_stations_as_inferred() -> None:
    """Scanned only at the press: the steps before it are booked too, and marked as not seen."""
    now = ticket(print=40)
    plan = plan_scan(SHIPPED, now, Ask("press", 38, 2, "peeled", catch_up=True))
    assert [(s.source.place, s.to.place, s.count, s.inferred) for s in plan.steps] == [
        ("print", "powder", 40, True),
        ("powder", "cure", 40, True),
        ("cure", "press", 40, True),
        ("press", "dispatch", 38, False),
        ("press", "spoiled", 2, False),
    ]
    assert plan.inferred == ("print", "powder", "cure")


def test_catch_up_takes_from_the_nearest_and_only_what_is_missing() -> None:
    """Pieces that were scanned properly go first; without numbers what waits there is enough."""
    now = ticket(print=20, powder=5, press=10)
    asked = plan_scan(SHIPPED, now, Ask("press", 17, catch_up=True))
    assert places_after(now, asked) == {"print": 18, "dispatch": 17}
    assert places_after(now, plan_scan(SHIPPED, now, Ask("press", catch_up=True))) == {
        "print": 20,
        "powder": 5,
        "dispatch": 10,
    }


def test_a_station_may_make_catching_up_the_rule() -> None:
    """Such a station needs no --catch-up."""
    now = ticket(print=40)
    plan = plan_scan(route_with(press={"catch_up": True}), now, Ask("press"))
    assert places_after(now, plan) == {"dispatch": 40}
    assert plan.inferred == ("print", "powder", "cure")


def test_pieces_at_a_station_that_is_no_more_are_fetched_by_a_catch_up() -> None:
    """A shop takes a station out of its line while pieces wait there: they can go on from anywhere."""
    now = TicketNow("A", "pressed", {Spot("cutting"): 4, Spot("drying", RUN): 2, Spot("press"): 1})
    with pytest.raises(ShopProblem, match="4 at cutting") as refused:
        plan_scan(SHIPPED, now, Ask("dispatch"))
    assert "--catch-up" in refused.value.do
    plan = plan_scan(SHIPPED, now, Ask("press", 5, catch_up=True))
    assert move(now.lots, plan.steps) == {Spot("drying", RUN): 2, Spot("dispatch"): 5}
    assert plan.inferred == ("cutting",)
    run = plan_run_scan(SHIPPED, [now], RUN, Ask("cure", catch_up=True))
    assert move(now.lots, run.steps) == {Spot("cutting"): 4, Spot("press"): 3}
    transfers = TicketNow("B", "transfers", {Spot("press"): 3})
    assert plan_scan(SHIPPED, transfers, Ask("dispatch", catch_up=True)).good == 3


def test_joined_stations_are_seen_and_not_inferred() -> None:
    """One machine prints, powders and cures: a scan at the cure books all three as seen."""
    now = ticket(print=10, cure=5)
    route = route_with(powder={"books": ("print",)}, cure={"books": ("print", "powder")})
    plan = plan_scan(route, now, Ask("cure"))
    assert places_after(now, plan) == {"press": 15}
    assert not plan.inferred
    assert places_after(now, plan_scan(route, now, Ask("cure", 8, 1, "x"))) == {
        "print": 6,
        "press": 8,
        "spoiled": 1,
    }


def test_pieces_in_a_run_are_not_scanned_one_by_one() -> None:
    """The sentence names the run; loose pieces of the same ticket can be scanned."""
    now = TicketNow("7K3Q9XZ", "pressed", {Spot("print", RUN): 6, Spot("print"): 4})
    assert plan_scan(SHIPPED, now, Ask("print")).good == 4
    with pytest.raises(ShopProblem, match=RUN) as refused:
        plan_scan(SHIPPED, now, Ask("print", 5))
    assert refused.value.slug == "pieces-in-a-run"
    with pytest.raises(ShopProblem, match=RUN):
        plan_scan(SHIPPED, TicketNow("A", "pressed", {Spot("print", RUN): 6}), Ask("print"))


def test_a_run_scan_moves_all_of_it_held_or_not() -> None:
    """The film is one piece; behind the cure it is cut, and the pieces go their own ways."""
    held = TicketNow("A", "pressed", {Spot("cure", RUN): 6, Spot("cure"): 1}, held_why="wait")
    other = TicketNow("B", "transfers", {Spot("cure", RUN): 3, Spot("print"): 9})
    plan = plan_run_scan(SHIPPED, [held, other], RUN, Ask("cure"))
    assert plan.good == 9
    own = {code: [s for s in plan.steps if s.ticket == code] for code in "AB"}
    assert move(held.lots, own["A"]) == {Spot("cure"): 1, Spot("press"): 6}
    assert move(other.lots, own["B"]) == {Spot("print"): 9, Spot("dispatch"): 3}


def test_a_run_keeps_together_up_to_the_cure() -> None:
    """Printed pieces of a run wait for powder in the same run, also when a station was missed."""
    now = TicketNow("A", "pressed", {Spot("print", RUN): 6})
    plan = plan_run_scan(SHIPPED, [now], RUN, Ask("powder", catch_up=True))
    assert move(now.lots, plan.steps) == {Spot("cure", RUN): 6}
    assert plan.good == 6
    assert plan.inferred == ("print",)


@pytest.mark.parametrize(
    ("ask", "slug"),
    [
        (Ask("press"), "nothing-waits-here"),
        (Ask("powder"), "nothing-waits-here"),
        (Ask("print", 3), "run-takes-no-numbers"),
        (Ask("print", spoiled=3, why="x"), "run-takes-no-numbers"),
    ],
)
def test_what_a_run_cannot_do_is_refused(ask: Ask, slug: str) -> None:
    """A run moves whole, and only from where it waits."""
    with pytest.raises(ShopProblem) as refused:
        plan_run_scan(SHIPPED, [TicketNow("A", "pressed", {Spot("print", RUN): 6})], RUN, ask)
    assert refused.value.slug == slug


def test_a_dispatch_of_a_part_needs_leave_or_a_reason() -> None:
    """Pieces may go when every other live piece waits at dispatch too, or is gone."""
    here, behind = ticket(dispatch=4), ticket(print=2, cancelled=3)
    require_whole_dispatch([here, ticket(dispatched=5, spoiled=1)], 0, Ask("dispatch"), allowed=False)
    for order, unissued in (([here, behind], 0), ([here], 7)):
        with pytest.raises(ShopProblem) as refused:
            require_whole_dispatch(order, unissued, Ask("dispatch"), allowed=False)
        assert refused.value.slug == "part-dispatch"
    with pytest.raises(ShopProblem) as refused:
        require_whole_dispatch([behind], 0, Ask("dispatch", part=True), allowed=False)
    assert refused.value.slug == "part-needs-why"
    require_whole_dispatch([behind], 0, Ask("dispatch", part=True, why="customer asked"), allowed=False)
    require_whole_dispatch([behind], 0, Ask("dispatch"), allowed=True)


def test_an_order_scanned_at_dispatch_sends_all_that_is_ready() -> None:
    """Held tickets stay behind and are named; numbers belong to tickets; elsewhere no order is scanned."""
    ready = TicketNow("A", "pressed", {Spot("dispatch"): 4, Spot("dispatched"): 1})
    held = TicketNow("B", "pressed", {Spot("dispatch"): 2}, held_why="wait")
    plan = plan_order_dispatch(SHIPPED, [ready, held], Ask("dispatch"))
    assert (plan.good, plan.skipped) == (4, ("B",))
    for tickets, ask, slug in (
        ([held], Ask("dispatch"), "ticket-held"),
        ([ticket(print=4)], Ask("dispatch"), "nothing-waits-here"),
        ([ready], Ask("press"), "order-at-dispatch-only"),
        ([ready], Ask("dispatch", 2), "which-ticket"),
    ):
        with pytest.raises(ShopProblem) as refused:
            plan_order_dispatch(SHIPPED, tickets, ask)
        assert refused.value.slug == slug


def test_cancelling_takes_what_is_least_far_along() -> None:
    """Five fewer hoodies: those that cost least so far are given up first."""
    now = ticket(press=3, print=4, spoiled=1)
    assert move(now.lots, plan_cancel(SHIPPED, now, 5)) == {
        Spot("press"): 2,
        Spot("cancelled"): 5,
        Spot("spoiled"): 1,
    }
    assert sum(s.count for s in plan_cancel(SHIPPED, now, None)) == 7
    for pieces, slug in ((8, "more-than-waits"), (0, "bad-number")):
        with pytest.raises(ShopProblem) as refused:
            plan_cancel(SHIPPED, now, pieces)
        assert refused.value.slug == slug


def test_an_undo_is_the_scan_backwards() -> None:
    """Everything is where it was, or the undo is refused because pieces have moved on."""
    now = ticket(print=40)
    plan = plan_scan(SHIPPED, now, Ask("press", 38, 2, "x", catch_up=True))
    after = TicketNow(now.code, now.service, move(now.lots, plan.steps))
    back = plan_undo(SHIPPED, plan.steps, {now.code: after})
    assert move(after.lots, back) == now.lots
    gone = TicketNow(now.code, now.service, {Spot("dispatched"): 38, Spot("spoiled"): 2})
    with pytest.raises(ShopProblem) as refused:
        plan_undo(SHIPPED, plan.steps, {now.code: gone})
    assert refused.value.slug == "moved-on"


def test_pieces_from_nowhere_are_a_fault() -> None:
    """A step that takes more than is there fails loudly."""
    with pytest.raises(PiecesLost):
        fold([Step("A", 3, Spot("new"), Spot("print")), Step("A", 4, Spot("print"), Spot("powder"))])


LOTS = st.dictionaries(
    st.sampled_from([Spot(p) for p in (*SHIPPED.stations, "dispatched", "spoiled")] + [Spot("print", RUN)]),
    st.integers(1, 9),
    max_size=5,
)
ASKS = st.builds(
    Ask,
    st.sampled_from(SHIPPED.stations),
    st.none() | st.integers(0, 12),
    st.integers(0, 3),
    st.just("because"),
    st.booleans(),
)


@given(LOTS, ASKS, st.sampled_from(["pressed", "transfers"]), st.booleans())
def test_every_scan_conserves_pieces_and_moves_what_it_says(
    lots: dict[Spot, int], ask: Ask, service: str, joined: bool
) -> None:
    """Whatever waits where and whatever is asked: refused whole, or the sums add up."""
    if service == "transfers":
        lots = {spot: count for spot, count in lots.items() if spot.place != "press"}
    books: Callable[..., Route] = route_with
    route = books(cure={"books": ("print", "powder")}, powder={"books": ("print",)}) if joined else SHIPPED
    now = TicketNow("A", service, lots)
    try:
        plan = plan_scan(route, now, ask)
    except ShopProblem:
        return
    after = move(lots, plan.steps)
    assert sum(after.values()) == sum(lots.values())
    assert after.get(Spot("spoiled"), 0) - lots.get(Spot("spoiled"), 0) == plan.spoiled == ask.spoiled
    assert after.get(Spot(plan.to), 0) - lots.get(Spot(plan.to), 0) == plan.good
    assert plan.good + plan.spoiled > 0
    assert move(after, plan_undo(route, plan.steps, {"A": TicketNow("A", service, after)})) == lots
