"""Sizes that save film: advised, never done without a yes, checked anew, and remembered for the same art."""

from __future__ import annotations

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tests.tickets.test_ledger_film import lay, propose, refused
from tickets.lookup.film_plan import propose_taking_out
from tickets.lookup.size_advice import advice_for


def backs(floor: Shopfloor, number: str = "OB-1", art: str = "back.png") -> str:
    """An order of twenty backs of 300 × 400 mm, accepted; its ticket's code."""
    floor.take(order_draft(number, item_draft(art, 20, width_mm=300.0)))
    floor.judge(number, print_width_mm=300.0, print_height_mm=400.0)
    return floor.codes(number)[0]


def answer(floor: Shopfloor, code: str, *, is_yes: bool) -> str:
    """The customer's answer on what is advised."""
    return floor.ledger.answer_size(advice_for(floor.store, floor.settings, code), "Ines", is_yes=is_yes)


def test_a_yes_is_checked_anew_and_printed_so(floor: Shopfloor) -> None:
    """The item's artwork is judged once more at the smaller size; then nothing more is advised."""
    code = backs(floor)
    (found,) = propose(floor).advice
    assert (found.advice.code, found.pieces, found.is_agreed) == (code, 20, False)
    assert found.advice.saved_mm > 1000
    assert f"{code} is printed at {found.advice.width_mm:g}" in answer(floor, code, is_yes=True)
    item = floor.item("OB-1")
    assert item.standing == "unchecked"
    assert item.ordered_width_mm is not None
    assert 285 < item.ordered_width_mm < 300
    floor.judge("OB-1", print_width_mm=item.ordered_width_mm, print_height_mm=item.ordered_height_mm)
    assert floor.item("OB-1").standing == "accepted"
    assert propose(floor).advice == ()
    assert floor.codes("OB-1") == [code]


def test_a_no_is_not_asked_again_of_that_artwork(floor: Shopfloor) -> None:
    """Nor when it comes with another order at that size; another artwork is advised all the same."""
    code = backs(floor)
    assert "remembered" in answer(floor, code, is_yes=False)
    assert floor.item("OB-1").standing == "accepted"
    backs(floor, "OB-2")
    assert propose(floor).advice == ()
    other = backs(floor, "OB-3", "other.png")
    assert [one.advice.code for one in propose(floor).advice] == [other]
    assert refused(advice_for, floor.store, floor.settings, code) == "no-size-advice"


def test_a_yes_is_done_by_itself_for_the_next_order_and_told(floor: Shopfloor) -> None:
    """The same customer's next order of that artwork is checked anew and printed so; every plan says it."""
    answer(floor, backs(floor), is_yes=True)
    code = backs(floor, "OB-2")
    item = floor.item("OB-2")
    assert (item.standing, item.revision) == ("unchecked", 2)
    assert item.ordered_width_mm == floor.item("OB-1").ordered_width_mm
    floor.judge("OB-2", print_width_mm=item.ordered_width_mm, print_height_mm=item.ordered_height_mm)
    assert (floor.item("OB-2").standing, floor.item("OB-2").revision) == ("accepted", 2)
    found = propose(floor)
    assert found.advice == ()
    (told,) = found.told_agreed()
    assert told.startswith(f"{code} is printed at 29")


def test_another_customer_is_asked(floor: Shopfloor) -> None:
    """Who sends the same artwork has not said yes: it is printed as ordered, and the advice is given."""
    answer(floor, backs(floor), is_yes=True)
    floor.take(order_draft("OB-2", item_draft("back.png", 20, width_mm=300.0), customer_name="Heron"))
    floor.judge("OB-2", print_width_mm=300.0, print_height_mm=400.0)
    assert floor.item("OB-2").ordered_width_mm == 300.0
    (found,) = propose(floor).advice
    assert found.is_agreed


def test_what_lies_in_a_run_keeps_its_size(floor: Shopfloor) -> None:
    """Pieces of two sizes of one ticket would be on film: taken out first, it may be smaller."""
    code = backs(floor)
    advice = advice_for(floor.store, floor.settings, code)
    lay(floor)

    def say_yes(by: str = "Ines") -> str:
        """The customer agrees."""
        return floor.ledger.answer_size(advice, by, is_yes=True)

    assert refused(say_yes) == "size-too-late"
    out = propose_taking_out(floor.store, floor.settings, code)
    floor.ledger.keep_film_plan(out, "Ines", {code: ""})
    assert refused(say_yes, " ") == "needs-name"
    assert "is checked once more" in say_yes()


@pytest.mark.parametrize("is_yes", [True, False])
def test_an_answer_may_be_changed(floor: Shopfloor, is_yes: bool) -> None:
    """The last one counts, and the history tells each."""
    code = backs(floor)
    advice = advice_for(floor.store, floor.settings, code)
    floor.ledger.answer_size(advice, "Ines", is_yes=False)
    floor.ledger.answer_size(advice, "Tomek", is_yes=is_yes)
    kinds = [event.kind for event in floor.events()]
    assert kinds.count("size-kept") == (1 if is_yes else 2)
    assert ("revised" in kinds) is is_yes
