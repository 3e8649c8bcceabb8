"""Orders that may be late, what helps them most, and forecasts that are made beside the pages."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.stores import Home, settings_with
from tests.tickets.front_desk import FrontDesk, item
from tickets.forecast.arrivals import LEAST_WINDOW_MINUTES, Past, supposed_jobs
from tickets.forecast.model import Job, Line, Work
from tickets.lookup import where_is
from tickets.lookup.answers import OrderAnswer
from tickets.lookup.foreseeing import Foreseen, foresight
from tickets.lookup.fresh import _Newest, foresee, made_last
from tickets.lookup.line import line_answer
from tickets.store import Store


@pytest.fixture
def books(sqlite_home: Home) -> Iterator[Store]:
    """Empty books of one kind, for what does not depend on the database."""
    opened = sqlite_home.open()
    yield opened
    opened.close()


def asked(desk: FrontDesk, number: str) -> OrderAnswer:
    """The answer about one order, with what helps it."""
    found = foresight(desk.store, desk.settings, desk.now)
    (order,) = where_is(desk.store, desk.settings, number, now=desk.now, foresee=found).orders
    return order


def test_an_order_behind_others_is_helped_by_rushing_it(books: Store) -> None:
    """It is small, what goes before it is much: nothing else brings it so far forward."""
    desk = FrontDesk(books)
    for number in range(8):
        desk.take(f"OB-{number + 1}", items=[item(f"{number}.png", 120)], due="2026-12-02")
    desk.take("OB-9", items=[item("small.png", 10)], due="2026-12-03")
    order = asked(desk, "OB-9")
    told = order.as_json()["helps"]
    assert order.is_at_risk
    assert "it may be late" in order.says
    assert (told["change"], told["holds"]) == ("rush", True)
    assert told["says"].startswith("as a rush job it is ready at the latest Wed 2 Dec ")
    assert f"  What helps most: {told['says']}" in order.as_lines()


def test_an_order_alone_is_helped_by_hands_where_it_is_limited(books: Store) -> None:
    """Nobody is before it, so that rushing it changes nothing: two at press do half of its tickets each."""
    desk = FrontDesk(books)
    desk.take("OB-1", items=[item(f"{number}.png", 200) for number in range(4)], due="2026-12-03")
    told = asked(desk, "OB-1").as_json()["helps"]
    assert (told["change"], told["station"]) == ("hands", asked(desk, "OB-1").limited_by)


def test_a_large_ticket_is_shared_by_two(books: Store) -> None:
    """900 pieces of one artwork: nobody is before them, halves help little, a second press helps much."""
    desk = FrontDesk(books)
    (code,) = desk.take("OB-1", items=[item("large.png", 900)], due="2026-12-01")
    desk.scan(code, "print", "powder", "cure")
    told = asked(desk, "OB-1").as_json()["helps"]
    assert (told["change"], told["station"], told["makes_late"]) == ("hands", "press", 0)
    assert told["says"].startswith("with one more at press it is ready at the latest ")


def test_more_hands_are_named_only_where_the_order_still_comes_to(books: Store) -> None:
    """Pieces beyond a station gain nothing by hands there, whatever happens to the orders around them."""
    desk = FrontDesk(books)
    for number in range(6):
        (code,) = desk.take(f"OB-{number + 1}", items=[item(f"{number}.png", 200)], due="2026-12-01")
        desk.scan(code, "print", "powder")
    helps = [asked(desk, f"OB-{number + 1}").as_json()["helps"] for number in range(6)]
    assert any(helps)
    assert {one["station"] for one in helps if one and one["change"] == "hands"} <= {"cure", "press"}


def test_a_rush_job_tells_whom_it_would_make_late(books: Store) -> None:
    """The order that just fits its day is named as a number beside the help, in words and in the JSON."""
    desk = FrontDesk(books)
    desk.take("OB-1", items=[item("fits.png", 150)], due="2026-12-02")
    desk.take("OB-2", items=[item("large.png", 150)], due="2026-12-03", due_at=desk.now + timedelta(hours=23))
    desk.take("OB-9", items=[item("behind.png", 60)], due="2026-12-03", due_at=desk.now + timedelta(hours=25))
    told = asked(desk, "OB-9").as_json()["helps"]
    assert told["change"] == "rush"
    assert told["makes_late"] > 0
    assert re.search(r"; it would make \d other orders? late\.$", told["says"])


def test_the_line_says_how_many_one_more_pair_of_hands_would_bring_in_time(store: Store) -> None:
    """Of all that may be late, at the station that limits them; nothing where one order or none is late."""
    desk = FrontDesk(store)
    assert _line(desk)["hands"] is None
    for number in range(12):
        codes = desk.take(f"OB-{number + 1}", items=[item(f"{number}.png", 60)], due="2026-12-03")
        desk.scan(codes[0], "print", "powder", "cure")
    told = _line(desk)["hands"]
    assert told["station"] == "press"
    assert 0 < told["in_time"] <= told["of"] == _line(desk)["at_risk_in_all"]
    assert told["says"].startswith("With one more at press ")


def _line(desk: FrontDesk) -> dict[str, Any]:
    foresee_now = foresight(desk.store, desk.settings, desk.now)
    return line_answer(desk.store, desk.settings, desk.now, foresee_now).as_json()


def test_what_is_ready_by_its_day_can_go_in_part(books: Store) -> None:
    """An order too large for its day, whatever is done: how many of its pieces are ready by then is told."""
    desk = FrontDesk(books)
    desk.take("OB-1", items=[item("small.png", 20), item("large.png", 3000)], due="2026-12-04")
    told = asked(desk, "OB-1").as_json()["helps"]
    assert (told["change"], told["pieces"], told["latest"]) == ("part", 20, None)
    assert told["says"] == "20 of 3020 pieces can go in part, in time."


def test_an_order_that_has_just_come_is_not_supposed_to_come_again_at_once() -> None:
    """Orders of the night are not doubled in the morning: the like of them come in the days after."""
    line, lead = Line.of(settings_with()), timedelta(hours=1)
    start = datetime(2026, 12, 2, 8, 30, tzinfo=UTC)
    job = Job(
        "OB-1", "1", "print", Work(500, 2.0), "pressed", "chest", (True, start + lead * 99, "OB-1", "1")
    )
    past = [Past(0.0, lead, False, job.work, job.service, job.kind)]
    more = supposed_jobs(line, [job], past, {}, lambda minutes: start + timedelta(minutes=minutes))
    assert more
    assert min(one.release for one in more) >= LEAST_WINDOW_MINUTES / 2


def test_the_line_names_what_may_be_late_soonest_due_first(store: Store) -> None:
    """With customer, times and help; what is expected in time is not among them."""
    desk = FrontDesk(store)
    desk.take("OB-1", "Hill Bakery", items=[item("a.png", 900)], due="2026-12-03")
    desk.take("OB-2", items=[item("b.png", 900)], due="2026-12-02")
    desk.take("OB-3", items=[item("c.png", 5)], due="2027-01-29")
    line = line_answer(store, desk.settings, desk.now, foresight(store, desk.settings, desk.now)).as_json()
    assert [(one["order"], one["customer"]) for one in line["at_risk"]] == [
        ("OB-2", "Otter Bank Rowing Club"),
        ("OB-1", "Hill Bakery"),
    ]
    assert line["at_risk_in_all"] == 2
    assert all(one["latest"] > one["due"] for one in line["at_risk"])
    assert line["at_risk"][1]["helps"]["change"] in ("rush", "hands", "split", "part")


def test_pages_do_not_wait_for_a_forecast_but_tell_its_age(books: Store) -> None:
    """While a new one is made the one before is told; when it is there, it is the new one's time."""
    desk, go_on = FrontDesk(books), threading.Event()
    desk.take("OB-1042")
    newest, old = _Newest(), foresee(books, desk.settings, desk.now)
    later = desk.now + timedelta(minutes=5)

    def slowly() -> Foreseen:
        assert go_on.wait(20)
        return foresee(books, desk.settings, later)

    assert newest.ask((1, "settings"), desk.now, lambda: old, None).age is None
    assert newest.ask((2, "settings"), later, slowly, 0.01).age == timedelta(minutes=5)
    making = newest.making
    assert making
    go_on.set()
    assert making.wait(20)
    told = newest.ask((2, "settings"), later, slowly, 0.01)
    assert (told.at, told.age) == (later, None)


def test_an_old_forecast_is_said_to_be_old(books: Store) -> None:
    """In the sentence and in the JSON, where it is older than a minute."""
    desk = FrontDesk(books)
    desk.take("OB-1042")
    kept = foresee(books, desk.settings, desk.now)
    old = Foreseen(kept.at, kept.expected, kept.helping, age=timedelta(minutes=3))
    (order,) = where_is(books, desk.settings, "OB-1042", now=desk.now, foresee=lambda _="": old).orders
    assert "(as of Wed 2 Dec 09:57)" in order.says
    assert order.ready
    assert order.ready["as_of"] == "2026-12-02T09:57:00Z"


def test_the_first_forecast_and_a_failed_one_are_waited_for(books: Store) -> None:
    """Nothing older is there to be told; a fault is told to whoever asked, and the next one tries again."""
    desk, now = FrontDesk(books), datetime(2026, 12, 2, 10, 0, tzinfo=UTC)
    newest = _Newest()

    def failing() -> Foreseen:
        raise ValueError("no forecast today")

    with pytest.raises(ValueError, match="no forecast today"):
        newest.ask((1, "settings"), now, failing, 0.01)
    desk.take("OB-1042")
    told = newest.ask((1, "settings"), now, lambda: foresee(books, desk.settings, now), 0.01)
    assert "OB-1042" in told.expected


def test_a_new_forecast_is_noticed(books: Store) -> None:
    """Open pages look again when one that was made beside them is there."""
    desk = FrontDesk(books)
    before = made_last(books)
    desk.take("OB-1042")
    foresee(books, desk.settings, desk.now)
    assert made_last(books) > before
    assert foresee(books, desk.settings, desk.now).at == desk.now
