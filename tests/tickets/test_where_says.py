"""One sentence an order, that can be read out to a caller."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.tickets.front_desk import THIN, WEDNESDAY, FrontDesk, item
from tickets.store import Store
from tickets.wording_where import say_day, say_time

LINE = ("print", "powder", "cure", "press", "dispatch")


@pytest.fixture
def desk(store: Store) -> FrontDesk:
    """A shop without orders."""
    return FrontDesk(store)


def test_fresh_pieces_wait_at_the_first_station(desk: FrontDesk) -> None:
    """What has not begun says when it is due."""
    desk.take()
    assert desk.one("otter").says == "40 wait at print; due Fri 4 Dec."


def test_pieces_on_the_line_are_told_from_the_end(desk: FrontDesk) -> None:
    """Those nearest to being done first."""
    (code,) = desk.take()
    desk.scan(code, "print", good=30)
    desk.scan(code, "powder", good=10)
    assert desk.one("otter").says == "10 wait at cure, 20 at powder, 10 at print; due Fri 4 Dec."


def test_reprints_are_told_apart(desk: FrontDesk) -> None:
    """38 of 40 pressed, one reprint at print."""
    (code,) = desk.take()
    desk.scan(code, "print", "powder", "cure")
    desk.scan(code, "press", good=39, spoiled=1, why="peeled badly")
    assert desk.one("otter").says == "39 of 40 pressed, 1 reprint at print; due Fri 4 Dec."


def test_transfers_are_cured_not_pressed(desk: FrontDesk) -> None:
    """Bare transfers never see the press."""
    (code,) = desk.take(items=[item(service="transfers")])
    desk.scan(code, "print", "powder")
    desk.scan(code, "cure", good=15)
    assert desk.one("otter").says == "15 of 40 cured, 25 at cure; due Fri 4 Dec."


def test_ready_and_dispatched_orders_say_so(desk: FrontDesk) -> None:
    """All of it, and when it went, on the shop's own clock."""
    london = desk.settings.shop.model_copy(update={"time_zone": "Europe/Madrid"})
    desk.settings = desk.settings.model_copy(update={"shop": london})
    (code,) = desk.take()
    desk.scan(code, *LINE[:-1])
    assert desk.one("otter").says == "All 40 ready for dispatch; due Fri 4 Dec."
    desk.now = WEDNESDAY + timedelta(days=1, hours=4, minutes=19)
    desk.scan(code, "dispatch")
    assert desk.one("otter").says == "All 40 dispatched on Thu 3 Dec 15:20."


def test_a_part_that_went_is_told(desk: FrontDesk) -> None:
    """20 gone, the rest where it is."""
    (code,) = desk.take(allow_part_dispatch=True)
    desk.scan(code, *LINE[:3])
    desk.scan(code, "press", good=30)
    desk.scan(code, "dispatch", good=20)
    assert desk.one("otter").says == "20 of 40 dispatched, 10 ready for dispatch, 10 at press; due Fri 4 Dec."


def test_cancelled_pieces_are_told(desk: FrontDesk) -> None:
    """What was taken off the order is not among what is told of it."""
    (code,) = desk.take()
    desk.ledger.cancel(code, 5, "five fewer")
    assert desk.one("otter").says == "35 wait at print, 5 cancelled; due Fri 4 Dec."
    desk.ledger.cancel(code, None, "club folded")
    assert desk.one("otter").says == "All 40 cancelled."


def test_a_question_is_told_in_its_own_words(desk: FrontDesk) -> None:
    """What is asked, about which item, and what goes on meanwhile."""
    desk.take(items=[item(), item("back.png", 20)], verdicts=["query", "clear"])
    answer = desk.one("otter")
    assert answer.says == (
        "Waiting for an answer about the artwork of item 1: the thinnest line is 0.21 mm. "
        "20 wait at print; due Fri 4 Dec."
    )
    (queried,) = answer.as_json()["queried_items"]
    assert (queried["item"], queried["findings"]) == (1, [THIN])


def test_several_questions_are_counted(desk: FrontDesk) -> None:
    """The first in full, the others by number."""
    asked = {**THIN, "check": "sizes", "says": "The sizes add up to 39, not 40."}
    desk.take(items=[item(order_queries=(asked,)), item("back.png", 20)], verdicts=["query"])
    assert desk.one("otter").says == (
        "Waiting for an answer about item 1: the sizes add up to 39, not 40 (and 2 more questions)."
    )


def test_of_a_long_finding_the_first_sentence_is_read(desk: FrontDesk) -> None:
    """What was found is said; what it means stands in the report."""
    asked = {**THIN, "says": "There is a box 3.2 mm wide. It would be printed. Send it without."}
    desk.take(items=[item(order_queries=(asked,))])
    assert desk.one("otter").says == "Waiting for an answer about item 1: there is a box 3.2 mm wide."


def test_artwork_that_is_being_checked_is_told(desk: FrontDesk) -> None:
    """An unchecked item is work, and the sentence says what work."""
    desk.take(items=[item(), item("back.png")], verdicts=["", ""])
    assert desk.one("otter").standing == "in work"
    assert desk.one("otter").says == "The artwork is being checked; due Fri 4 Dec."
    desk.judge("OB-1042", 1, "clear")
    assert desk.one("otter").says == "40 wait at print; item 2 is being checked; due Fri 4 Dec."


def test_refused_artwork_is_told_with_the_reason(desk: FrontDesk) -> None:
    """Which item, why; beside what goes on when there is more."""
    desk.take("A-1", "Heron", verdicts=["refuse"])
    answer = desk.one("heron")
    assert answer.says == "Refused: item 1 (crest.png): the file cannot be read as a picture."
    (refused,) = answer.as_json()["refused_items"]
    assert (refused["item"], refused["artwork"], refused["slug"], refused["quantity"]) == (
        *(1, "crest.png", "artwork-unreadable"),
        40,
    )
    assert refused["findings"][0]["check"] == "file"
    desk.take("A-2", "Fox", items=[item(), item("back.png", 20)], verdicts=["refuse", "clear"])
    assert desk.one("fox").says == "20 wait at print; item 1 was refused; due Fri 4 Dec."


def test_a_hold_is_told_with_its_reason(desk: FrontDesk) -> None:
    """Of the order, or of which ticket."""
    (code,) = desk.take()
    desk.ledger.hold(code, "wrong film")
    assert (
        desk.one("otter").says
        == f"Held: ticket {code} (crest.png): wrong film. 40 wait at print; due Fri 4 Dec."
    )
    desk.ledger.release(code, "Ines")
    desk.ledger.hold("OB-1042", "not paid yet")
    assert desk.one("otter").says == "Held: not paid yet. 40 wait at print; due Fri 4 Dec."


def test_a_due_day_that_is_past_was_due(desk: FrontDesk) -> None:
    """Late orders don't sound as if there were time."""
    desk.take(due="2026-12-01")
    assert desk.one("otter").says == "40 wait at print; was due Tue 1 Dec."


def test_the_year_is_named_when_it_is_another() -> None:
    """4 January of the next year is not last January."""
    zone = ZoneInfo("Europe/London")
    assert say_day(WEDNESDAY.replace(year=2027, month=1, day=4), WEDNESDAY, zone) == "Mon 4 Jan 2027"
    assert say_time(WEDNESDAY.replace(month=7), WEDNESDAY, zone) == "Thu 2 Jul 11:00"


def test_the_lines_hold_what_the_json_does(desk: FrontDesk) -> None:
    """The text for people names the order, the sentence and every ticket."""
    (code,) = desk.take(rush=True)
    desk.scan(code, "print", good=30, spoiled=10, why="banding")
    answer = desk.where("otter")
    text = "\n".join(answer.as_lines())
    order = answer.orders[0]
    assert "OB-1042  Otter Bank Rowing Club  due Fri 4 Dec  rush  [in work]" in text
    assert order.says in text
    assert f"{code}  item 1  crest.png  40: 30 at powder, 10 spoiled" in text
    assert f"{order.tickets[1].code}  item 1  crest.png  (reprint of {code})  10: 10 at print" in text
    assert order.as_line().startswith("OB-1042  Otter Bank Rowing Club  [in work]  30 wait at powder")
    assert replace(order, due_says="").as_lines()[0].count("due") == 0
