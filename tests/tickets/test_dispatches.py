"""Dispatches in the books: which scans are one, what its slip lists, and what an undo does to it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tickets.codes import new_run_code
from tickets.lookup import order_history
from tickets.lookup.packing import SlipAnswer, due_slips, order_slips
from tickets.problems import NotFound, ShopProblem


def pressed(floor: Shopfloor, *items: object, number: str = "OB-1", **changes: object) -> list[str]:
    """An order whose pieces all wait at dispatch; its ticket codes."""
    codes = floor.accept(order_draft(number, *items, **changes))  # type: ignore[arg-type]
    for code in codes:
        floor.scan(code, "press", catch_up=True)
    return codes


def slips(floor: Shopfloor, number: str = "OB-1") -> list[SlipAnswer]:
    """The packing slips of an order."""
    return order_slips(floor.store, number)


def counts(slip: SlipAnswer) -> tuple[list[int], list[int], list[int]]:
    """How many lie in a dispatch, follow, and went before, line by line."""
    packed = slip.packed
    return (
        [line.count for line in packed.here],
        [line.count for line in packed.follows],
        [line.count for line in packed.before],
    )


def test_a_whole_order_is_one_slip(floor: Shopfloor) -> None:
    """Its prints on shared garments are counted as garments; nothing follows; it is due to be printed."""
    front = item_draft("front.png", garment_set="h", garment="navy hoodie")
    pressed(floor, front, item_draft("back.png", garment_set="h"))
    answer = floor.scan("OB-1", "dispatch", by="Ines")
    assert answer.packing == 1
    assert answer.says == "80 pieces of OB-1 dispatched. Packing slip 1 goes with it."
    (slip,) = slips(floor)
    assert (slip.number, slip.by, slip.is_part, slip.packed.garments) == (1, "Ines", False, 40)
    assert counts(slip) == ([40], [], [])
    assert due_slips(floor.store) == [slip]
    floor.ledger.note_slip(slip.dispatch_id, slip.revision)
    assert due_slips(floor.store) == []


def test_a_part_says_what_follows_and_the_rest_what_went_before(floor: Shopfloor) -> None:
    """Each slip stays as it was when its pieces left."""
    first, _ = pressed(floor, item_draft("a.png", 10), item_draft("b.png", 6))
    floor.scan(first, "dispatch", part=True, why="needed on Friday", good=7)
    floor.clock.now += timedelta(hours=1)
    floor.scan("OB-1", "dispatch")
    part, rest = slips(floor)
    assert counts(part) == ([7], [3, 6], [])
    assert counts(rest) == ([3, 6], [], [7])
    assert (part.is_part, rest.is_part) == (True, False)


def test_scans_soon_after_each_other_are_one_dispatch(floor: Shopfloor) -> None:
    """Tickets that are scanned one by one get one slip, which is printed anew; a later one gets its own."""
    codes = pressed(floor, *(item_draft(f"{n}.png", 5) for n in range(3)))
    assert floor.scan(codes[0], "dispatch").packing == 1
    (slip,) = slips(floor)
    floor.ledger.note_slip(slip.dispatch_id, slip.revision)
    assert floor.scan(codes[1], "dispatch").packing == 1
    (slip,) = slips(floor)
    assert (slip.revision, slip.is_papered) == (2, False)
    assert counts(slip) == ([5, 5], [5], [])
    floor.ledger.note_slip(slip.dispatch_id, 1)  # a slow printer comes late with the old one
    assert not slips(floor)[0].is_papered
    floor.clock.now += timedelta(seconds=floor.settings.messages.wait_seconds + 10)
    assert floor.scan(codes[2], "dispatch").packing == 2


def test_an_undone_dispatch_voids_its_slip_and_says_so(floor: Shopfloor) -> None:
    """The slip is kept, void, and due to be printed as such; the next dispatch has a number of its own."""
    pressed(floor)
    floor.scan("OB-1", "dispatch")
    said = floor.ledger.undo("OB-1", "Ines").says
    assert said.endswith("Packing slip 1 of OB-1 is void: take it out of the parcel.")
    (slip,) = due_slips(floor.store)
    assert slip.voided_at is not None
    assert counts(slip)[0] == [40]  # what was on it can still be read
    assert "Packing slip 1 of OB-1 became void: its dispatch was taken back." in [
        line.says for line in order_history(floor.store, "OB-1")
    ]
    assert floor.scan("OB-1", "dispatch").packing == 2
    assert counts(slips(floor)[1]) == ([40], [], [])


def test_a_dispatch_that_is_undone_in_part_keeps_its_slip_changed(floor: Shopfloor) -> None:
    """One of two tickets comes back: the slip lists the other, and what came back follows."""
    first, second = pressed(floor, item_draft("a.png", 10), item_draft("b.png", 6), allow_part_dispatch=True)
    floor.scan(first, "dispatch")
    floor.scan(second, "dispatch")
    assert "Packing slip 1 of OB-1 has changed" in floor.ledger.undo(second).says
    (slip,) = slips(floor)
    assert slip.voided_at is None
    assert counts(slip) == ([10], [6], [])


def test_what_somebody_collects_is_a_dispatch_of_its_own(floor: Shopfloor) -> None:
    """The history says who came; at another station the name is refused."""
    first, second = pressed(floor, item_draft("a.png", 10), item_draft("b.png", 6), allow_part_dispatch=True)
    with pytest.raises(ShopProblem) as refused:
        floor.scan(first, "press", collected_by="Tom")
    assert refused.value.slug == "collected-at-dispatch-only"
    floor.scan(first, "dispatch", collected_by="Tom")
    assert floor.scan(second, "dispatch").packing == 2
    assert [slip.collected_by for slip in slips(floor)] == ["Tom", ""]
    assert "Packing slip 1 of OB-1 was made; it was collected by Tom." in [
        line.says for line in order_history(floor.store, "OB-1")
    ]


def test_the_same_key_twice_packs_once(floor: Shopfloor) -> None:
    """The answer of the first names its slip."""
    pressed(floor)
    floor.scan("OB-1", "dispatch", key="k1")
    again = floor.scan("OB-1", "dispatch", key="k1")
    assert (again.repeated, again.packing, len(slips(floor))) == (True, 1, 1)


def test_remade_pieces_go_with_a_slip_of_their_own(floor: Shopfloor) -> None:
    """The first slip says what it said; the second lists what was made again."""
    (code,) = pressed(floor)
    floor.scan("OB-1", "dispatch")
    floor.clock.now += timedelta(days=2)
    reprint = str(floor.ledger.remake(code, 3, "torn in the post").reprint)
    floor.scan(reprint, "press", catch_up=True)
    floor.scan("OB-1", "dispatch")
    assert [counts(slip)[0] for slip in slips(floor)] == [[40], [3]]


def test_a_run_that_is_caught_up_at_dispatch_keeps_the_rule_on_parts(floor: Shopfloor) -> None:
    """No way around it: film that is scanned straight at dispatch sends no part without a reason either."""
    first, _ = floor.accept(order_draft("OB-1", item_draft("a.png", 4), item_draft("b.png", 4)))
    run = new_run_code(floor.random)
    floor.ledger.lay_in_run(run, {first: 4})
    with pytest.raises(ShopProblem) as refused:
        floor.scan(run, "dispatch", catch_up=True)
    assert refused.value.slug == "part-dispatch"
    assert floor.places(first) == {f"print/{run}": 4}
    floor.scan(run, "dispatch", catch_up=True, part=True, why="wanted today")
    assert counts(slips(floor)[0]) == ([4], [4], [])
    floor.ledger.undo(run)
    assert slips(floor)[0].voided_at is not None


def test_an_order_that_nobody_knows_has_no_slips(floor: Shopfloor) -> None:
    """As everywhere: `order-not-known`."""
    with pytest.raises(NotFound) as refused:
        slips(floor, "OB-9")
    assert refused.value.slug == "order-not-known"
