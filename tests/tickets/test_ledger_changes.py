"""The desk changes an order in work: another due day, more pieces or fewer; the sums go on holding."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tickets.lookup import due_papers
from tickets.problems import ShopProblem


def slug_of(act: Callable[[], object]) -> str:
    """The slug that an act is refused with."""
    with pytest.raises(ShopProblem) as refused:
        act()
    return refused.value.slug


def test_further_pieces_start_at_the_first_ticket(floor: Shopfloor) -> None:
    """Wherever the others are; ordered, issued and waiting grow together, and the paper is due again."""
    [code] = floor.accept()
    floor.ledger.note_papered(code, 1)
    floor.scan(code, "print")
    said = floor.ledger.change_quantity(code, 45, "five more joined", "Ines")
    assert said.startswith(f"{code}: 5 pieces more, 45 in all")
    assert floor.places(code) == {"print": 5, "powder": 40}
    assert (floor.item("OB-1042").quantity, floor.ticket(code).quantity) == (45, 45)
    assert [due.code for due in due_papers(floor.store)] == [code]
    last = floor.events()[-1]
    assert (last.kind, last.by, last.payload["why"]) == ("issued", "Ines", "five more joined")


def test_fewer_pieces_are_cancelled_those_least_far_along_first(floor: Shopfloor) -> None:
    """Over all tickets of the item, its reprints too; raised again, they are further pieces."""
    [code] = floor.accept()
    floor.scan(code, "print", good=30)
    floor.scan(code, "powder", spoiled=4, why="dust")
    [_, reprint] = floor.codes("OB-1042")
    floor.ledger.change_quantity(reprint, 25, "fewer came", "Ines")
    assert floor.places(code) == {"powder": 25, "cancelled": 11, "spoiled": 4}
    assert floor.places(reprint) == {"cancelled": 4}
    floor.ledger.change_quantity(code, 26, "one came after all", "Ines")
    assert floor.places(code)["print"] == 1


def test_what_is_dispatched_cannot_be_taken_off(floor: Shopfloor) -> None:
    """The refusal says where they are; more pieces open a closed order again."""
    [code] = floor.accept()
    floor.scan(code, "print", catch_up=False)
    for station in ("powder", "cure", "press", "dispatch"):
        floor.scan(code, station)
    assert slug_of(lambda: floor.ledger.change_quantity(code, 30, "fewer")) == "more-than-waits"
    assert floor.order("OB-1042").closed_at is not None
    floor.ledger.change_quantity(code, 41, "one was forgotten")
    assert floor.order("OB-1042").closed_at is None


def test_a_due_day_is_changed_and_told(floor: Shopfloor) -> None:
    """By order or by ticket; it means the closing time of that day, and the papers are due again."""
    codes = floor.accept(order_draft("OB-1042", item_draft("a.png"), item_draft("b.png"), due="2026-12-04"))
    for code in codes:
        floor.ledger.note_papered(code, 1)
    floor.ledger.change_due("OB-1042", "2026-12-11", "put off", "Ines")
    order = floor.order("OB-1042")
    assert order.due == "2026-12-11"
    assert order.due_at is not None
    assert order.due_at.isoformat().startswith("2026-12-11T17:00")
    assert [due.code for due in due_papers(floor.store)] == codes
    floor.ledger.change_due(codes[0], "2026-12-12", "again", "Ines")
    changed = [e.payload for e in floor.events() if e.kind == "due-changed"]
    assert [(p["was"], p["due"], p["why"]) for p in changed] == [
        ("2026-12-04", "2026-12-11", "put off"),
        ("2026-12-11", "2026-12-12", "again"),
    ]


def test_changes_that_are_none_are_refused(floor: Shopfloor) -> None:
    """Without a reason, to what it is, to no day, to nothing, of a whole order."""
    [code] = floor.accept(order_draft("OB-1042", item_draft(), due="2026-12-04"))
    ledger = floor.ledger
    assert slug_of(lambda: ledger.change_quantity(code, 45, " ")) == "needs-why"
    assert slug_of(lambda: ledger.change_quantity(code, 40, "same")) == "nothing-to-change"
    assert slug_of(lambda: ledger.change_quantity(code, 0, "none")) == "bad-number"
    assert slug_of(lambda: ledger.change_quantity("OB-1042", 45, "more")) == "which-ticket"
    assert slug_of(lambda: ledger.change_due(code, "2026-12-11", "")) == "needs-why"
    assert slug_of(lambda: ledger.change_due(code, "2026-12-04", "same")) == "nothing-to-change"
    for day in ("tomorrow", "2026-02-30", "20261204", "2026-W49-5", ""):
        assert slug_of(lambda day=day: ledger.change_due(code, day, "x")) == "due-not-read"  # type: ignore[misc]
    ledger.cancel("OB-1042", None, "gone")
    assert slug_of(lambda: ledger.change_due("OB-1042", "2026-12-11", "x")) == "nothing-to-change"
