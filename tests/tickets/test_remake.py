"""Pieces that came back after dispatch are made again: conserved, in a rush, and undone as any scan."""

from __future__ import annotations

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tickets.ledger.audit import rebuild
from tickets.lookup import due_papers, order_answer, order_history
from tickets.problems import ShopProblem


def sent(floor: Shopfloor, *items: object) -> list[str]:
    """An order that has left the house whole; its ticket codes."""
    codes = floor.accept(order_draft("OB-1", *items))  # type: ignore[arg-type]
    for code in codes:
        floor.scan(code, "press", catch_up=True)
    floor.scan("OB-1", "dispatch")
    return codes


def test_a_remake_keeps_the_sums_of_ticket_and_item(floor: Shopfloor) -> None:
    """Dispatched pieces become spoiled, the same number waits at print, and the order is open again."""
    [code] = sent(floor)
    assert floor.order("OB-1").closed_at is not None
    answer = floor.ledger.remake(code, 3, "torn in the post", "Ines")
    assert answer.reprint is not None
    assert floor.places(code) == {"dispatched": 37, "spoiled": 3}
    assert floor.places(answer.reprint) == {"print": 3}
    assert floor.order("OB-1").closed_at is None
    assert "count as spoiled and start again at print" in answer.says
    with floor.store.reading() as session:
        for of in (code, answer.reprint):
            assert {spot.place: n for spot, n in rebuild(session, floor.ticket(of)).items()} == floor.places(
                of
            )


def test_a_remake_is_a_rush_also_on_its_paper(floor: Shopfloor) -> None:
    """The order was none; the ticket is, and its paper is due at once."""
    [code] = sent(floor)
    reprint = str(floor.ledger.remake(code, 1, "lost").reprint)
    assert (floor.ticket(reprint).rush, floor.ticket(code).rush) == (True, False)
    [paper] = [due for due in due_papers(floor.store) if due.code == reprint]
    assert (paper.rush, paper.reprint_of, paper.quantity) == (True, code, 1)


def test_the_caller_hears_of_the_remake(floor: Shopfloor) -> None:
    """`where` and the history say it in words."""
    [code] = sent(floor)
    floor.ledger.remake(code, 2, "two short")
    answer = order_answer(floor.store, floor.settings, "OB-1", floor.clock())
    assert answer.standing == "in work"
    assert answer.says.startswith("38 of 40 dispatched, 2 reprints at print")
    assert f"2 pieces of {code} came back or were short, and were remade: two short." in [
        line.says for line in order_history(floor.store, "OB-1")
    ]


def test_remade_pieces_go_out_again_as_a_whole(floor: Shopfloor) -> None:
    """What they are sent with left long ago: no reason for a part is asked."""
    [code] = sent(floor)
    reprint = str(floor.ledger.remake(code, 2, "two short").reprint)
    floor.scan(reprint, "press", catch_up=True)
    floor.scan("OB-1", "dispatch")
    assert floor.order("OB-1").closed_at is not None
    second = str(floor.ledger.remake(reprint, 1, "one of them again").reprint)
    assert floor.places(reprint) == {"dispatched": 1, "spoiled": 1}
    assert floor.ticket(second).reprint_of_id == floor.ticket(reprint).id


def test_a_remake_is_taken_back_until_its_pieces_move(floor: Shopfloor) -> None:
    """Undo names what it took back; once the reprint is printed it is too late."""
    [code] = sent(floor)
    reprint = str(floor.ledger.remake(code, 2, "wrong ticket").reprint)
    said = floor.ledger.undo(code, "Ines").says
    assert said.startswith(f"The remake of 2 pieces of {code} is taken back")
    assert floor.places(code) == {"dispatched": 40}
    assert floor.order("OB-1").closed_at is not None
    assert floor.ticket(reprint).withdrawn
    again = str(floor.ledger.remake(code, 2, "two short").reprint)
    with pytest.raises(ShopProblem) as refused:
        floor.ledger.undo("OB-1")
    assert refused.value.slug == "moved-on"  # the dispatch holds no longer all that it sent
    floor.scan(again, "print")
    with pytest.raises(ShopProblem) as refused:
        floor.ledger.undo(code)
    assert refused.value.slug == "moved-on"


def test_prints_on_the_same_garments_are_thought_of(floor: Shopfloor) -> None:
    """A garment that came back may have lost its other prints too."""
    front, _ = sent(floor, item_draft("a.png", 4, garment_set="h"), item_draft("b.png", 4, garment_set="h"))
    assert "Other prints of 'h'" in floor.ledger.remake(front, 1, "scorched").says


def test_what_cannot_be_remade_is_refused_whole(floor: Shopfloor) -> None:
    """More than has left, none, no reason, an order instead of a ticket."""
    [code] = sent(floor)
    for slug, named, count, why in (
        ("more-than-dispatched", code, 41, "x"),
        ("bad-number", code, 0, "x"),
        ("needs-why", code, 1, " "),
        ("which-ticket", "OB-1", 1, "x"),
        ("code-not-known", "ZZZZZZZ", 1, "x"),
    ):
        with pytest.raises(ShopProblem) as refused:
            floor.ledger.remake(named, count, why)
        assert refused.value.slug == slug
    [waiting] = floor.accept(order_draft("OB-2"))
    with pytest.raises(ShopProblem, match=r"none of it has left the house \(40 at print\)"):
        floor.ledger.remake(waiting, 1, "x")
    assert floor.places(code) == {"dispatched": 40}
