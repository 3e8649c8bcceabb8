"""Stock in real books: what scans took, once each and given back when undone, and how long it lasts."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlmodel import select

from tests.books import Shopfloor, item_draft, order_draft
from tickets.cost.answers import CostAnswer
from tickets.cost.calibrating import Takes
from tickets.cost.stocktaking import Note, NoteKind, Took, add_working_days, lasts, on_hand, read_amount
from tickets.lookup import list_orders
from tickets.lookup.costing import cost_of_order
from tickets.lookup.film_plan import Effort, propose_plan
from tickets.lookup.film_runs import stored_run
from tickets.lookup.stock import calibration, stock_now
from tickets.models_stock import FilmUse
from tickets.problems import ShopProblem
from tickets.requests import RunSpoilage

RUN = "R00A7"
WEDNESDAY = date(2026, 12, 2)


def left(floor: Shopfloor, name: str) -> float:
    """What the books say is left of one consumable."""
    answer = stock_now(floor.store, floor.settings, floor.clock())
    return next(line.amount for line in answer.lines if line.name == name)


def uses(floor: Shopfloor) -> list[FilmUse]:
    """All that scans took."""
    with floor.store.reading() as session:
        return list(session.exec(select(FilmUse)))


def test_a_run_takes_its_film_once_and_gives_it_back(floor: Shopfloor) -> None:
    """Scanned at print it takes film, ink and powder; later scans take none; undone, all is there again."""
    (chest,) = floor.accept()
    floor.ledger.note_stock(NoteKind.COUNT, "white", 5000)
    floor.ledger.note_stock(NoteKind.COUNT, "film hot peel", 100)
    floor.ledger.lay_in_run(RUN, {chest: 40})
    assert left(floor, "white") == 5000
    floor.scan(RUN, "print", key="once")
    took_white, took_film = left(floor, "white"), left(floor, "film hot peel")
    assert 5000 - took_white == pytest.approx(40 * 90 * 81.4 * 0.7e-6 * 18, rel=0.1)
    assert 100 - took_film == pytest.approx(7 * 0.0894 + 0.4, rel=0.01)
    floor.scan(RUN, "print", key="once")
    floor.scan(RUN, "powder")
    assert len(uses(floor)) == 1
    floor.ledger.undo(RUN)
    assert left(floor, "white") == took_white  # only the powder was taken back
    floor.ledger.undo(RUN)
    assert left(floor, "white") == 5000
    floor.scan(RUN, "print")
    assert left(floor, "white") == took_white


def test_a_run_that_was_laid_here_takes_all_that_lies_on_it_once(floor: Shopfloor) -> None:
    """Its own length by the first scan, be it spoilage; none by later ones; an undo gives it back."""
    (chest,) = floor.accept()
    (run,) = floor.ledger.keep_film_plan(propose_plan(floor.store, floor.settings, Effort(seconds=0)).keep)
    length_m = stored_run(floor.store, run).length_mm / 1000
    floor.ledger.spoil_run(RunSpoilage(run, chest, 3, why="head strike"))
    floor.scan(run, "print")
    (use,) = uses(floor)
    assert use.film_m == pytest.approx(length_m)
    assert use.inked_m2 == pytest.approx(40 * 90 * 81.4 * 0.7e-6, rel=0.01)
    floor.ledger.undo(run)
    floor.ledger.undo(run)
    assert [use.given_back for use in uses(floor)] == [True]
    floor.scan(run, "print")
    assert [use.given_back for use in uses(floor)] == [True, False]


def test_tickets_take_their_part_and_spoiled_pieces_too(floor: Shopfloor) -> None:
    """Loose tickets are booked by their pieces, a catch-up from a later station books print as well."""
    chest, back = floor.accept(order_draft("OB-1", item_draft(), item_draft("b.png", 10, film="cold peel")))
    floor.scan(chest, "print", 20)
    floor.scan(chest, "print", 10, spoiled=10, why="head strike")
    floor.scan(back, "cure", catch_up=True)
    first, second, third = uses(floor)
    assert first.inked_m2 == pytest.approx(second.inked_m2)
    assert 0 < first.runs < 0.1
    assert third.film == "cold peel"


def test_a_purchase_gives_the_price_and_a_count_replaces_what_was_reckoned(floor: Shopfloor) -> None:
    """The last price paid costs the next order; what was bought is there, what is counted is all there is."""
    floor.accept()
    before = cost_of_order(floor.store, floor.settings, "OB-1042").total
    assert "white: 5.00 l bought for GBP 600.00." in floor.ledger.note_stock(
        NoteKind.BOUGHT, "white", 5000, Decimal(600)
    )
    assert left(floor, "white") == 5000
    assert cost_of_order(floor.store, floor.settings, "OB-1042").total > before
    floor.ledger.note_stock(NoteKind.BOUGHT, "white", 1000)
    assert left(floor, "white") == 6000
    floor.ledger.note_stock(NoteKind.COUNT, "white", 4000)
    assert left(floor, "white") == 4000


def order_cost(floor: Shopfloor) -> CostAnswer:
    """What the floor's one order costs by now."""
    return cost_of_order(floor.store, floor.settings, list_orders(floor.store, floor.settings)[0].order)


def test_counts_calibrate_what_is_reckoned(floor: Shopfloor) -> None:
    """Two counts with printing between: the figure moves towards what went, and its error bar is told."""
    chests = [floor.accept(order_draft(f"OB-{n}", item_draft(quantity=100_000)))[0] for n in range(3)]
    floor.ledger.note_stock(NoteKind.COUNT, "white", 90_000)
    floor.scan(chests[0], "print")
    floor.clock.now += timedelta(days=30)
    reckoned = left(floor, "white")
    floor.ledger.note_stock(NoteKind.COUNT, "white", 90_000 - 1.4 * (90_000 - reckoned))
    answer = calibration(floor.store, floor.settings)
    white = next(row for row in answer.rows if row.name == "white")
    assert white.fitted is not None
    assert 18 * 1.3 < white.fitted.takes.k < 18 * 1.45
    assert white.says.startswith("calibrated on 1 month, ± ")
    assert next(row.says for row in answer.rows if row.name == "powder") == "settings"
    assert "two counts tell more" in answer.as_lines()[-1]
    (beside,) = [note for note in order_cost(floor).as_lines() if note.startswith("Reckoned by")]
    assert f"white {white.says}" in beside
    told = answer.as_json()["calibration"][4]
    assert told["calibrated"]["k"] == pytest.approx(white.fitted.takes.k, abs=1e-3)


def test_what_is_not_kept_or_not_open_is_refused(floor: Shopfloor) -> None:
    """Each in words, and nothing is written."""
    with pytest.raises(ShopProblem) as told:
        floor.ledger.note_stock(NoteKind.BOUGHT, "purple", 1)
    assert told.value.slug == "consumable-not-kept"
    with pytest.raises(ShopProblem) as told:
        floor.ledger.note_stock(NoteKind.USED_UP, "film hot peel", 0)
    assert told.value.slug == "nothing-is-open"
    assert stock_now(floor.store, floor.settings, floor.clock()).lines == []


def test_a_roll_that_is_used_up_took_all_that_it_held(floor: Shopfloor) -> None:
    """Two rolls bought, one opened and empty: one is left, whatever was printed of it by the books."""
    (chest,) = floor.accept()
    floor.ledger.note_stock(NoteKind.BOUGHT, "film hot peel", 200)
    floor.ledger.note_stock(NoteKind.OPENED, "film hot peel", 100)
    floor.scan(chest, "print")
    floor.ledger.note_stock(NoteKind.USED_UP, "film hot peel", 0)
    assert left(floor, "film hot peel") == pytest.approx(100)


def test_how_long_it_lasts_is_said(floor: Shopfloor) -> None:
    """At the rate of the last days: the likely day, the sure one, when to order; low stock is told apart."""
    (chest,) = floor.accept(order_draft("OB-1", item_draft(quantity=4000)))
    floor.ledger.note_stock(NoteKind.COUNT, "white", 700)
    floor.ledger.note_stock(NoteKind.COUNT, "powder", 10_000)
    floor.clock.now = datetime(2026, 12, 2, 10, tzinfo=UTC)
    for day in (2, 3, 4):
        floor.clock.now = datetime(2026, 12, day, 10, tzinfo=UTC)
        floor.scan(chest, "print", 900 + 50 * day)
    floor.clock.now = datetime(2026, 12, 7, 8, tzinfo=UTC)
    answer = stock_now(floor.store, floor.settings, floor.clock())
    white = answer.lines[0]
    assert white.lasting is not None
    assert WEDNESDAY < white.lasting.latest_sure <= white.lasting.likely
    assert "lasts until" in white.says(answer.today, 3)
    assert answer.low == [white, *[x for x in answer.lines if x.name == "powder" and x in answer.low]]
    assert answer.as_json()["stock"][0]["low"] is True
    assert "cyan" in answer.unknown


def test_the_sentence_can_be_read_out() -> None:
    """Black lasts until Thursday at this rate; order by Monday with three days' delivery."""
    from tickets.cost.stock_answers import StockLine
    from tickets.cost.stocktaking import Lasting

    monday = date(2026, 11, 30)
    until = Lasting(date(2026, 12, 10), date(2026, 12, 8), date(2026, 12, 3))
    line = StockLine("black", "ml", 400, 50, until)
    assert line.says(monday, 3) == (
        "black: 400 ml left, lasts until Thursday 2026-12-10 at this rate, nine times of ten until "
        "Tuesday 2026-12-08; order by Thursday with 3 days' delivery."
    )
    assert "order today" in line.says(date(2026, 12, 3), 3)


@pytest.mark.parametrize(
    ("day", "count", "then"),
    [("2026-12-04", 1, "2026-12-07"), ("2026-12-07", -1, "2026-12-04"), ("2026-12-05", 0, "2026-12-07")],
)
def test_weekends_are_no_working_days(day: str, count: int, then: str) -> None:
    """Friday and one is Monday."""
    assert add_working_days(date.fromisoformat(day), count) == date.fromisoformat(then)


@given(st.floats(1, 1e5), st.lists(st.floats(0.1, 1e4), min_size=1, max_size=28))
def test_the_sure_day_is_never_after_the_likely_one(there: float, daily: list[float]) -> None:
    """And the last day to order is never after it."""
    until = lasts(there, daily, WEDNESDAY, 3)
    assert until is not None
    assert WEDNESDAY <= until.latest_sure <= until.likely
    assert until.order_by <= until.latest_sure
    assert lasts(there, [0.0], WEDNESDAY, 3) is None


def test_nine_times_of_ten_it_lasts_until_the_sure_day() -> None:
    """Days drawn by chance, 2,000 times: at least 86 of a hundred stocks outlast it."""
    import random

    dice = random.Random(5)
    daily = [dice.gauss(100, 30) for _ in range(200)]
    until = lasts(2000, daily, WEDNESDAY, 0)
    assert until is not None
    days = 0
    while add_working_days(WEDNESDAY, days) < until.latest_sure:
        days += 1
    outlasted = sum(sum(dice.gauss(100, 30) for _ in range(days)) <= 2000 for _ in range(2000)) / 2000
    assert outlasted >= 0.86


@pytest.mark.parametrize(
    ("written", "unit", "amount"),
    [("500ml", "ml", 500), ("1.5 L", "ml", 1500), ("20kg", "g", 20_000), ("100m", "m", 100)],
)
def test_amounts_are_read_as_people_write_them(written: str, unit: str, amount: float) -> None:
    """With their unit, in either size of it."""
    assert read_amount(written, unit) == amount


@pytest.mark.parametrize("written", ["", "5", "5kg", "-1l", "nan l", "1e9l", "999999999l", "l"])
def test_amounts_that_mean_nothing_are_refused(written: str) -> None:
    """Of ink: no unit, a wrong one, or more than there is in the world."""
    with pytest.raises(ShopProblem) as told:
        read_amount(written, "ml")
    assert told.value.slug == "amount-not-read"


def test_stock_is_never_less_than_nothing() -> None:
    """What was reckoned too high is told as empty, not as a debt; nothing noted is not known."""
    at = datetime(2026, 12, 2, tzinfo=UTC)
    took = [Took(at + timedelta(hours=1), "hot peel", 1, 1, 1, (0, 0, 0, 0), 100, 100)]
    assert on_hand("white", [Note(at, NoteKind.COUNT, 10)], took, Takes(18, 2.5)) == 0
    assert on_hand("white", [], took, Takes(18, 2.5)) is None
