"""The line at one moment, the open questions and what was just done, on either database."""

from __future__ import annotations

from datetime import timedelta

from tests.books import Shopfloor, order_draft
from tickets.ledger.devices import DeviceBook
from tickets.lookup.items import done_lately, items_of, open_questions
from tickets.lookup.line import line_answer, pulse, waiting_since


def test_the_line_is_told_from_the_books(floor: Shopfloor) -> None:
    """Pieces by station and age, questions with their time, and what a station did last."""
    (code,) = floor.accept()
    floor.take(order_draft("OB-2"))
    floor.judge("OB-2", "query")
    before = pulse(floor.store)
    floor.scan(code, "print", 15, by="Ines")
    assert pulse(floor.store) != before
    line = line_answer(floor.store, floor.settings, floor.clock() + timedelta(hours=5))
    assert [s.pieces for s in line.stations] == [65, 15, 0, 0, 0]
    assert line.stations[1].bands == (0, 15, 0, 0)
    assert [a.order for a in line.asked] == ["OB-2"]
    assert [q.order for q in open_questions(floor.store)] == ["OB-2"]
    assert items_of(floor.store, "OB-1042")[0].code == code
    assert [(d.code, d.good, d.by) for d in done_lately(floor.store, "print")] == [(code, 15, "Ines")]
    assert list(waiting_since(floor.store, "powder", [code])) == [code]


def test_a_device_is_let_in_on_either_database(floor: Shopfloor) -> None:
    """Code, cookie, revocation."""
    book = DeviceBook(floor.store, floor.clock)
    token, device = book.let_in(book.new_code("desk"), "front desk")
    known = book.recognise(token)
    assert known is not None
    assert known.name == "front desk"
    book.revoke(device.id)
    assert book.recognise(token) is None
