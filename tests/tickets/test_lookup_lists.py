"""The order book, the inbox and what waits at a station, as every door shows them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine

from tests.tickets.front_desk import FrontDesk, item
from tickets.lookup import (
    list_arrivals,
    list_orders,
    order_answer,
    order_number_as_booked,
    run_answer,
    ticket_answer,
    waiting_at,
)
from tickets.problems import BadInput, NotFound
from tickets.requests import ArrivalNote
from tickets.store import Store

LINE = ("print", "powder", "cure", "press", "dispatch")


@pytest.fixture
def desk(store: Store) -> FrontDesk:
    """A shop without orders."""
    return FrontDesk(store)


def test_the_book_is_newest_first(desk: FrontDesk) -> None:
    """What was taken last stands on top."""
    for number in ("A-1", "A-2", "A-3"):
        desk.take(number)
        desk.now += timedelta(hours=1)
    assert [o.order for o in list_orders(desk.store, desk.settings, now=desk.now)] == ["A-3", "A-2", "A-1"]


def test_the_book_opens_at_a_standing(desk: FrontDesk) -> None:
    """Each of the contract's standings lists exactly the orders that stand so."""
    desk.take("queried", verdicts=["query"])
    (held,) = desk.take("held")
    desk.ledger.hold(held, "customer may change it")
    desk.take("in-work")
    desk.take("unchecked", verdicts=[""])
    (ready,) = desk.take("ready")
    desk.scan(ready, *LINE[:-1])
    (gone,) = desk.take("dispatched")
    desk.scan(gone, *LINE)
    desk.take("cancelled")
    desk.ledger.cancel("cancelled", None, "club folded")
    desk.take("refused", verdicts=["refuse"])
    expected = {
        "queried": {"queried"},
        "held": {"held"},
        "in work": {"in-work", "unchecked"},
        "ready": {"ready"},
        "dispatched": {"dispatched"},
        "cancelled": {"cancelled"},
        "refused": {"refused"},
    }
    for standing, numbers in expected.items():
        listed = list_orders(desk.store, desk.settings, standing, now=desk.now)
        assert {order.order for order in listed} == numbers
        assert all(order.standing == standing for order in listed)
    assert {o.order for o in list_orders(desk.store, desk.settings, "In-Work")} == {"in-work", "unchecked"}


def test_an_unknown_standing_is_refused_with_the_nearest(desk: FrontDesk) -> None:
    """Nothing is listed silently empty for a typing slip."""
    with pytest.raises(BadInput, match="Did you mean queried") as caught:
        list_orders(desk.store, desk.settings, "querried")
    assert caught.value.slug == "no-such-standing"


def test_the_book_opens_at_a_day(desk: FrontDesk) -> None:
    """`since` is a day of the shop: what was taken on it belongs to it."""
    desk.now = datetime(2026, 12, 1, 23, 59, tzinfo=UTC)
    desk.take("before")
    desk.now = datetime(2026, 12, 2, 0, 0, tzinfo=UTC)
    desk.take("on-it")
    listed = list_orders(desk.store, desk.settings, since=date(2026, 12, 2))
    assert [order.order for order in listed] == ["on-it"]


def test_a_longer_book_takes_no_more_queries(desk: FrontDesk) -> None:
    """Orders, items, tickets, lots and scans are read together, however many orders there are."""
    asked: list[str] = []
    listen = lambda *args: asked.append(args[2])  # noqa: E731
    desk.take("first")
    event.listen(Engine, "before_cursor_execute", listen)
    try:
        list_orders(desk.store, desk.settings)
        alone = len(asked)
        for number in range(12):
            desk.take(f"more-{number}", items=[item(), item("back.png")])
        asked.clear()
        assert len(list_orders(desk.store, desk.settings)) == 13
        assert len(asked) == alone
    finally:
        event.remove(Engine, "before_cursor_execute", listen)


def test_one_order_and_one_ticket_answer_as_where_does(desk: FrontDesk) -> None:
    """The same values through every door."""
    (code,) = desk.take()
    desk.scan(code, "print", "powder")
    found = desk.one("otter")
    assert order_answer(desk.store, desk.settings, "OB-1042", desk.now) == found
    assert ticket_answer(desk.store, desk.settings, code, desk.now) == found.tickets[0]
    assert list_orders(desk.store, desk.settings, now=desk.now) == [found]


def test_what_is_not_in_the_books_is_said(desk: FrontDesk) -> None:
    """An unknown number or code names itself and what to do."""
    with pytest.raises(NotFound) as order:
        order_answer(desk.store, desk.settings, "OB-1")
    with pytest.raises(NotFound) as ticket:
        ticket_answer(desk.store, desk.settings, "7K3Q9XZ")
    assert (order.value.slug, ticket.value.slug) == ("order-not-known", "ticket-not-known")


def test_a_number_is_known_however_it_is_written(desk: FrontDesk) -> None:
    """Case and signs don't matter where only one order can be meant; a part of a number is no number."""
    desk.take("OB-1042")
    desk.take("OB 10/43")
    desk.take("ob1043")
    for written in ("OB-1042", " ob-1042 ", "ob1042", "OB 1042"):
        assert order_number_as_booked(desk.store, written) == "OB-1042"
    assert order_number_as_booked(desk.store, "OB 10/43") == "OB 10/43"
    for written in ("1042", "OB-104", "OB-1043", "", "otter"):
        assert order_number_as_booked(desk.store, written) is None


def arrival(path: str, standing: str, **more: object) -> ArrivalNote:
    """A note on one file."""
    note = {"is_open": standing in ("settling", "waiting"), "says": f"is {standing}", **more}
    folder, _, name = path.rpartition("/")
    return ArrivalNote(path.encode(), path, folder, name.casefold(), "1", standing, **note)  # type: ignore[arg-type]


def test_the_inbox_tells_what_was_made_of_each_file(desk: FrontDesk) -> None:
    """Every key of the contract; the latest first; nothing said stays null."""
    desk.ledger.note_arrival(
        arrival("Otter Bank/crest.png", "taken", sha256="9f" * 32, order_number="OB-1042")
    )
    desk.now += timedelta(minutes=1)
    desk.ledger.note_arrival(arrival("notes.txt", "refused", slug="not-artwork"))
    desk.ledger.beat("intake", "waiting for files", "host 1")
    told = list_arrivals(desk.store, None).as_json()
    assert told["heartbeat"] == f"{desk.now:%Y-%m-%dT%H:%M:%SZ}"
    refused, taken = told["files"]
    keys = ("path", "sha256", "standing", "order", "slug", "says")
    assert tuple(taken[k] for k in keys) == (
        *("Otter Bank/crest.png", "9f" * 32, "taken", "OB-1042", None),
        "is taken",
    )
    assert tuple(refused[k] for k in keys) == (
        "notes.txt",
        None,
        "refused",
        None,
        "not-artwork",
        "is refused",
    )


def test_old_files_leave_the_list_but_not_while_they_lie_there(desk: FrontDesk) -> None:
    """30 days are shown; what still waits is shown however long it has waited."""
    desk.ledger.note_arrival(arrival("old.png", "taken"))
    desk.ledger.note_arrival(arrival("waits.png", "waiting"))
    desk.now += timedelta(days=31)
    since = desk.now - timedelta(days=30)
    assert [file.path for file in list_arrivals(desk.store, since).files] == ["waits.png"]
    assert len(list_arrivals(desk.store, None).files) == 2


def test_an_intake_that_never_ran_says_so(desk: FrontDesk) -> None:
    """Silence is the alarm."""
    answer = list_arrivals(desk.store, None)
    assert answer.as_json()["heartbeat"] is None
    assert "filmdocket watch" in answer.as_lines()[0]


def test_a_station_sees_what_waits_there_rush_and_soonest_first(desk: FrontDesk) -> None:
    """Rush jobs, then by due day; what can't be worked on says why; reprints are marked."""
    desk.take("late", due="2026-12-20")
    (soon,) = desk.take("soon", due="2026-12-03")
    desk.take("rush", due="2026-12-24", rush=True)
    desk.take("asked", due="2026-12-30", verdicts=["query"])
    (held,) = desk.take("held", due="2026-12-31")
    desk.ledger.hold(held, "wrong film")
    desk.scan(soon, "print", "powder", "cure")
    desk.scan(soon, "press", good=38, spoiled=2, why="peeled badly")
    waiting = waiting_at(desk.store, desk.settings, "print")
    assert [(w.order, w.pieces, w.is_reprint, w.blocked) for w in waiting] == [
        ("rush", 40, False, ""),
        ("soon", 2, True, ""),
        ("late", 40, False, ""),
        ("asked", 40, False, "queried"),
        ("held", 40, False, "held: wrong film"),
    ]
    assert [w.pieces for w in waiting_at(desk.store, desk.settings, "dispatch")] == [38]
    with pytest.raises(BadInput):
        waiting_at(desk.store, desk.settings, "pres")


def test_a_run_answers_with_the_tickets_that_it_moved(desk: FrontDesk) -> None:
    """Of several orders, each as in `where`; a run that is in no books says so."""
    run = "R0004"
    (one,), (other,) = desk.take("A-1"), desk.take("A-2", items=[item(quantity=10)])
    desk.take("A-3")
    desk.ledger.lay_in_run(run, {one: 40, other: 6})
    desk.scan(run, "print")
    answer = run_answer(desk.store, desk.settings, run, desk.now)
    assert [(t.order, t.code, t.waiting["powder"]) for t in answer.tickets] == [
        ("A-1", one, 40),
        ("A-2", other, 6),
    ]
    assert answer.tickets[0].runs == (run,)
    assert answer.as_json()["run"] == run
    with pytest.raises(NotFound):
        run_answer(desk.store, desk.settings, "R9999")
