"""The desk's acts in the books: hold, release, cancel, each with its reason and its name."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tickets.codes import new_run_code
from tickets.problems import ShopProblem


def slug_of(act: Callable[[], object]) -> str:
    """The slug that an act is refused with."""
    with pytest.raises(ShopProblem) as refused:
        act()
    return refused.value.slug


def test_a_hold_needs_its_own_release(floor: Shopfloor) -> None:
    """Query and hold are two things: the first release answers the question, the second lets go."""
    floor.take(order_draft())
    floor.judge("OB-1042", "query")
    [code] = floor.codes("OB-1042")
    floor.ledger.hold(code, "customer is on the phone", "Ines")
    said = floor.ledger.release(code, "Ines", "thin is fine")
    assert "answered" in said
    assert "still held: customer is on the phone" in said
    item = floor.item("OB-1042")
    assert (item.standing, item.released_by, item.released_note) == ("accepted", "Ines", "thin is fine")
    assert floor.ticket(code).held_why == "customer is on the phone"
    assert floor.ledger.release(code, "Ines") == f"{code} is held no longer."
    assert floor.ticket(code).held_why is None
    assert slug_of(lambda: floor.ledger.release(code, "Ines")) == "nothing-to-release"


def test_a_release_of_an_order_answers_all_its_questions(floor: Shopfloor) -> None:
    """By its number; items without a question are left as they are."""
    floor.take(order_draft("OB-1", *(item_draft(f"{n}.png") for n in range(3))))
    for item, verdict in ((1, "query"), (2, "clear"), (3, "query")):
        floor.judge("OB-1", verdict, item)
    floor.ledger.release("OB-1", "Ines")
    assert [floor.item("OB-1", n).standing for n in (1, 2, 3)] == ["accepted"] * 3
    assert [e.item_id for e in floor.events() if e.kind == "released"] == [
        floor.item("OB-1", 1).id,
        floor.item("OB-1", 3).id,
    ]


def test_a_held_order_is_released_by_its_number(floor: Shopfloor) -> None:
    """The refusal at its ticket says which number that is."""
    [code] = floor.accept()
    floor.ledger.hold("OB-1042", "not paid")
    with pytest.raises(ShopProblem, match="whole order OB-1042 is: not paid") as refused:
        floor.ledger.release(code, "Ines")
    assert refused.value.slug == "nothing-to-release"
    floor.ledger.release("OB-1042", "Ines")
    assert floor.order("OB-1042").held_why is None


def test_acts_without_a_reason_or_a_name_are_refused(floor: Shopfloor) -> None:
    """The history must say why and who."""
    [code] = floor.accept()
    assert slug_of(lambda: floor.ledger.hold(code, "  ")) == "needs-why"
    assert slug_of(lambda: floor.ledger.cancel(code, 1, "")) == "needs-why"
    assert slug_of(lambda: floor.ledger.release(code, " ")) == "needs-name"


def test_whatever_is_typed_can_be_kept(floor: Shopfloor) -> None:
    """Bytes that are no text, controls, whole pages: a reason is kept as well as it can be."""
    [code] = floor.accept()
    floor.ledger.hold(code, "caf\udce9\x00 " + "x" * 5000, "In\u00eas\n")
    held = str(floor.ticket(code).held_why)
    assert held.startswith("caf\ufffd\ufffd xxx")
    assert len(held) == 1000
    assert floor.events()[-1].by == "Inês"
    assert slug_of(lambda: floor.ledger.hold("\udcff\x00", "x")) == "code-not-known"
    assert slug_of(lambda: floor.scan(code, "print", key="k" * 300)) == "key-too-long"


def test_what_cannot_be_held_is_refused(floor: Shopfloor) -> None:
    """What is held already, what is gone, what nobody knows, and a film run."""
    one, other = floor.accept(order_draft("OB-1", item_draft("a"), item_draft("b")))
    floor.ledger.hold(one, "first")
    assert slug_of(lambda: floor.ledger.hold(one, "second")) == "already-held"
    run = new_run_code(floor.random)
    floor.ledger.lay_in_run(run, {other: 1})
    assert slug_of(lambda: floor.ledger.hold(run, "x")) == "run-not-ticket"
    floor.ledger.cancel(other, None, "no longer wanted")
    assert slug_of(lambda: floor.ledger.hold(other, "x")) == "nothing-to-hold"
    assert slug_of(lambda: floor.ledger.hold("OB-404", "x")) == "code-not-known"
    floor.ledger.cancel("OB-1", None, "no longer wanted")
    assert slug_of(lambda: floor.ledger.hold("OB-1", "x")) == "nothing-to-hold"


def test_cancelling_ends_pieces_and_says_what_is_left(floor: Shopfloor) -> None:
    """First those that are least far along; with all of them gone the order is closed."""
    [code] = floor.accept()
    floor.scan(code, "print", 10)
    assert floor.ledger.cancel(code, 35, "fewer hoodies") == (
        f"35 pieces of {code} are cancelled; 5 pieces go on."
    )
    assert floor.places(code) == {"powder": 5, "cancelled": 35}
    assert slug_of(lambda: floor.ledger.cancel(code, 6, "x")) == "more-than-waits"
    assert "nothing of it is left" in floor.ledger.cancel(code, None, "none at all")
    assert slug_of(lambda: floor.ledger.cancel(code, None, "x")) == "nothing-to-cancel"
    assert floor.order("OB-1042").closed_at is not None


def test_a_whole_order_is_cancelled_by_its_number(floor: Shopfloor) -> None:
    """What is dispatched stays dispatched; items being checked or asked about end too, refused ones stay."""
    floor.take(order_draft("OB-1", *(item_draft(f"{n}.png", 5) for n in range(4)), allow_part_dispatch=True))
    for item, verdict in ((1, "clear"), (2, "query"), (3, "refuse")):
        floor.judge("OB-1", verdict, item)
    first = floor.codes("OB-1")[0]
    floor.scan(first, "dispatch", 2, catch_up=True)
    assert slug_of(lambda: floor.ledger.cancel("OB-1", 3, "x")) == "which-ticket"
    floor.ledger.cancel("OB-1", None, "club dissolved")
    assert [floor.places(code) for code in floor.codes("OB-1")] == [
        {"dispatched": 2, "cancelled": 3},
        {"cancelled": 5},
        {"cancelled": 5},
    ]
    assert [floor.item("OB-1", n).standing for n in (1, 2, 3, 4)] == [
        "accepted",
        "accepted",
        "refused",
        "accepted",
    ]
    assert floor.order("OB-1").closed_at is not None
    floor.judge("OB-1", "query", 4)
    assert floor.item("OB-1", 4).standing == "accepted"
    assert slug_of(lambda: floor.ledger.cancel("OB-1", None, "x")) == "nothing-to-cancel"


def test_pieces_of_a_queried_item_can_be_cancelled(floor: Shopfloor) -> None:
    """Fewer of them, and the question stays; none at all, and it is dropped."""
    floor.take(order_draft())
    floor.judge("OB-1042", "query")
    [code] = floor.codes("OB-1042")
    floor.ledger.cancel(code, 30, "ten will do")
    assert floor.item("OB-1042").standing == "queried"
    floor.ledger.cancel(code, None, "none at all")
    assert floor.item("OB-1042").standing == "accepted"
    assert floor.events()[-2].kind == "question-dropped"


def test_a_reprint_can_be_cancelled(floor: Shopfloor) -> None:
    """The customer takes 38: item and tickets still add up, and the undo of the spoilage is too late."""
    [code] = floor.accept()
    reprint = str(floor.scan(code, "print", 38, spoiled=2, why="smeared").reprint)
    floor.ledger.cancel(reprint, None, "38 will do")
    assert slug_of(lambda: floor.ledger.undo(code)) == "moved-on"
    floor.scan(code, "dispatch", catch_up=True)
    assert floor.order("OB-1042").closed_at is not None


def test_pieces_in_a_run_are_cancelled_after_the_loose_ones(floor: Shopfloor) -> None:
    """At the same place: what is on no film yet is given up first."""
    [code] = floor.accept()
    run = new_run_code(floor.random)
    floor.ledger.lay_in_run(run, {code: 30})
    floor.ledger.cancel(code, 12, "fewer")
    assert floor.places(code) == {f"print/{run}": 28, "cancelled": 12}
