"""What is still to be made is listed until it is made, with all that is needed to make it."""

from __future__ import annotations

import pytest

from tests.tickets.front_desk import BROKEN, THIN, FrontDesk, item
from tickets.lookup import due_papers, due_reports, order_history, unchecked_items
from tickets.problems import NotFound
from tickets.store import Store


@pytest.fixture
def desk(store: Store) -> FrontDesk:
    """A shop without orders."""
    return FrontDesk(store)


def test_unchecked_items_are_listed_until_they_are_judged(desk: FrontDesk) -> None:
    """Rush first, then the soonest due, each with its artwork and size."""
    desk.take("late", verdicts=[""], due="2026-12-20")
    desk.take("soon", items=[item("a.png", page=2), item("b.png")], verdicts=[""], due="2026-12-03")
    desk.take("rush", verdicts=[""], due="2026-12-24", rush=True)
    unchecked = unchecked_items(desk.store)
    assert [(u.order.number, u.item.artwork) for u in unchecked] == [
        ("rush", "crest.png"),
        ("soon", "a.png"),
        ("soon", "b.png"),
        ("late", "crest.png"),
    ]
    assert (unchecked[1].item.page, unchecked[1].item.ordered_width_mm, unchecked[1].revision) == (2, 90.0, 1)
    desk.judge("rush", 1, "clear")
    assert "rush" not in {u.order.number for u in unchecked_items(desk.store)}


def test_papers_are_due_until_they_are_printed(desk: FrontDesk) -> None:
    """An accepted item's ticket, with order and item; printed once."""
    (code,) = desk.take(
        items=[item(sizes={"M": 40}, garment="navy hoodie")], customer_phone="+44 1632 960123"
    )
    (paper,) = due_papers(desk.store)
    assert (paper.code, paper.quantity, paper.reprint_of, paper.revision) == (code, 40, None, 1)
    assert (paper.order.number, paper.order.customer_phone, paper.order.due) == (
        *("OB-1042", "+44 1632 960123"),
        "2026-12-04",
    )
    assert (paper.item.sizes, paper.item.garment, paper.item.print_height_mm) == (
        {"M": 40},
        "navy hoodie",
        81.4,
    )
    desk.ledger.note_papered(code, 1)
    assert due_papers(desk.store) == []


def test_a_query_is_papered_when_it_is_released(desk: FrontDesk) -> None:
    """No paper for a question; one as soon as it is answered."""
    (code,) = desk.take(verdicts=["query"])
    assert due_papers(desk.store) == []
    desk.ledger.release(code, "Ines", "customer is happy")
    (paper,) = due_papers(desk.store)
    assert (paper.item.released_by, paper.item.released_note) == ("Ines", "customer is happy")


def test_reprints_are_papered_and_withdrawn_ones_are_not(desk: FrontDesk) -> None:
    """A reprint has paper of its own, unless the scan that made it is taken back."""
    (code,) = desk.take()
    desk.ledger.note_papered(code, 1)
    reprint = desk.scan(code, "print", good=38, spoiled=2, why="banding")
    assert [(p.code, p.reprint_of, p.quantity) for p in due_papers(desk.store)] == [(reprint, code, 2)]
    desk.ledger.undo(code)
    assert due_papers(desk.store) == []
    assert [t.code for t in desk.one("OB-1042").tickets] == [code]


def test_nothing_is_printed_for_pieces_that_are_gone(desk: FrontDesk) -> None:
    """A cancelled ticket needs no paper."""
    (code,) = desk.take()
    desk.ledger.cancel(code, None, "club folded")
    assert due_papers(desk.store) == []


def test_reports_are_due_once_everything_is_checked(desk: FrontDesk) -> None:
    """One report an order, when its last item is judged, with every item and what was found on it."""
    desk.take(items=[item("a.png"), item("b.png"), item("c.png")], verdicts=["query", "refuse", ""])
    assert due_reports(desk.store) == []
    desk.judge("OB-1042", 3, "clear")
    (report,) = due_reports(desk.store)
    asked, refused, clear = report.items
    assert (asked.findings, refused.findings, clear.findings) == ((THIN,), (BROKEN,), ())
    assert report.told == {asked.item_id, refused.item_id}
    assert report.revisions == {asked.item_id: 1, refused.item_id: 1}
    assert set(report.codes) == {asked.item_id, clear.item_id}
    desk.ledger.note_reported(report.order.order_id, report.revisions)
    assert due_reports(desk.store) == []


def test_a_clear_order_has_nothing_to_report(desk: FrontDesk) -> None:
    """Nobody is written to about artwork that is right."""
    desk.take()
    assert due_reports(desk.store) == []


def test_the_history_tells_everything_in_words(desk: FrontDesk) -> None:
    """Taken, checked, answered, scanned, spoiled, taken back, held, cancelled: a sentence each."""
    (code,) = desk.take(verdicts=["query"])
    desk.ledger.release(code, "Ines", "thin lines are fine")
    desk.ledger.hold(code, "wrong film", "Olu")
    desk.ledger.release(code, "Olu", "right film came")
    desk.ledger.note_papered(code, 1)
    reprint = desk.scan(code, "press", good=38, spoiled=2, why="peeled badly", catch_up=True)
    desk.ledger.cancel(code, 3, "three fewer", "Ines")
    told = [line.says for line in order_history(desk.store, "OB-1042")]
    assert told == [
        "OB-1042 was taken with 1 item.",
        "Item 1 (crest.png) was checked and there is a question: line-width.",
        f"{code} was issued for 40 pieces.",
        "The question about item 1 (crest.png) was answered: thin lines are fine.",
        f"{code} was held: wrong film.",
        f"The hold on {code} was ended: right film came.",
        f"The paper of {code} was made.",
        f"38 pieces of {code} pressed, 2 spoiled (peeled badly); print, powder and cure booked unseen.",
        f"{reprint} was issued for 2 pieces.",
        f"3 pieces of {code} were cancelled: three fewer.",
    ]
    desk.scan(code, "dispatch", part=True, why="rest follows")
    desk.ledger.undo(code, "Olu")
    undone, voided = order_history(desk.store, "OB-1042")[-2:]
    assert (undone.kind, undone.by, undone.code) == ("undone", "Olu", code)
    assert (voided.kind, voided.by, voided.code) == ("slip-voided", "Olu", None)
    assert undone.says == f"The scan of 35 pieces of {code} at dispatch was taken back."
    with pytest.raises(NotFound):
        order_history(desk.store, "nobody's")
