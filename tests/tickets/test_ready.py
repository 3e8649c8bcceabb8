"""When will it be ready, as desk and callers hear it."""

from __future__ import annotations

from datetime import UTC, datetime

from tests.tickets.front_desk import FrontDesk, item
from tickets.lookup import list_orders, order_answer, where_is
from tickets.lookup.answers import OrderAnswer
from tickets.lookup.foreseeing import foresight
from tickets.store import Store


def asked(desk: FrontDesk, number: str) -> OrderAnswer:
    """The answer about one order, with the forecast."""
    foresee = foresight(desk.store, desk.settings, desk.now)
    (order,) = where_is(desk.store, desk.settings, number, now=desk.now, foresee=foresee).orders
    return order


def at(written: str | None) -> datetime:
    """A time of the JSON."""
    return datetime.fromisoformat((written or "").replace("Z", "+00:00"))


def test_an_order_in_work_has_a_likely_and_a_latest_time_in_working_hours(store: Store) -> None:
    """Said in the sentence and in the JSON alike, in whole five minutes, never before now or at night."""
    desk = FrontDesk(store)
    desk.take("OB-1042")
    order = asked(desk, "OB-1042")
    ready = order.as_json()["ready"]
    likely, latest = at(ready["likely"]), at(ready["latest"])
    assert desk.now < likely <= latest
    assert all(8 <= time.hour <= 17 and time.minute % 5 == 0 for time in (likely, latest))
    assert f"expected ready Wed 2 Dec {likely:%H:%M}, at the latest" in order.says
    assert "is the bottleneck" in order.says


def test_the_command_the_book_and_the_order_say_the_same(store: Store) -> None:
    """One answer, wherever it is asked."""
    desk = FrontDesk(store)
    desk.take("OB-1042")
    foresee = foresight(desk.store, desk.settings, desk.now)
    book = list_orders(store, desk.settings, now=desk.now, foresee=foresee)
    page = order_answer(store, desk.settings, "OB-1042", desk.now, foresee=foresee)
    assert asked(desk, "OB-1042").as_json() == page.as_json() == book[0].as_json()


def test_what_waits_for_somebody_has_no_ready_time(store: Store) -> None:
    """Queried, held and finished orders, and those that are being checked: nobody can tell or guesses."""
    desk = FrontDesk(store)
    desk.take("OB-1", verdicts=("query",))
    desk.take("OB-2", verdicts=("",))
    desk.take("OB-3")
    desk.ledger.hold("OB-3", "the customer rang", "Ines")
    (done,) = desk.take("OB-4")
    desk.scan(done, "print", "powder", "cure", "press")
    for number in ("OB-1", "OB-2", "OB-3", "OB-4"):
        assert asked(desk, number).ready is None
        assert "expected" not in asked(desk, number).says


def test_a_scan_is_believed_at_once(store: Store) -> None:
    """Pieces that were pressed are not waited for any longer."""
    desk = FrontDesk(store)
    (code,) = desk.take("OB-1042", items=[item(quantity=200)])
    before = at(asked(desk, "OB-1042").as_json()["ready"]["likely"])
    desk.scan(code, "print", "powder", "cure")
    desk.scan(code, "press", good=190)
    assert at(asked(desk, "OB-1042").as_json()["ready"]["likely"]) < before
    assert asked(desk, "OB-1042").limited_by == "press"


def test_transfers_are_not_kept_waiting_at_press(store: Store) -> None:
    """Their way ends before it, and so does their time."""
    desk = FrontDesk(store)
    desk.take("OB-1", items=[item(quantity=400)], due="2026-12-03")
    desk.take("OB-2", items=[item("bare.png", 20, service="transfers")], due="2026-12-04")
    assert asked(desk, "OB-2").ready is not None
    assert at(asked(desk, "OB-2").as_json()["ready"]["latest"]) < at(
        asked(desk, "OB-1").as_json()["ready"]["likely"]
    )


def test_an_order_that_cannot_be_done_by_its_day_is_at_risk(store: Store) -> None:
    """Told in the JSON, so that the desk can do something about it; a roomy day is no risk."""
    desk = FrontDesk(store)
    desk.take("OB-1", items=[item(quantity=900)], due="2026-12-02")
    desk.take("OB-2", items=[item("small.png", 5)], due="2027-01-29")
    assert asked(desk, "OB-1").as_json()["at_risk"]
    assert not asked(desk, "OB-2").as_json()["at_risk"]


def test_at_night_work_begins_in_the_morning(store: Store) -> None:
    """Asked on Friday night, a small order is expected on Monday."""
    desk = FrontDesk(store, now=datetime(2026, 12, 4, 22, 0, tzinfo=UTC))
    desk.take("OB-1", items=[item(quantity=10)], due="2026-12-18")
    assert at(asked(desk, "OB-1").as_json()["ready"]["likely"]).date().isoformat() == "2026-12-07"
