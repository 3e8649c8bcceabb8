"""By which day an order can be promised that is not placed yet, and whom it would make late."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from intake.order.asked import read_asked
from tests.stores import Home
from tests.tickets.forecast.shops import with_paces
from tests.tickets.front_desk import FrontDesk, item
from tickets.forecast.futures import look_ahead
from tickets.forecast.model import Job, Line, Work
from tickets.lookup import where_is
from tickets.lookup.foreseeing import foresight
from tickets.lookup.promising import PromiseAnswer, promise
from tickets.problems import OrderRefused, ShopProblem
from tickets.store import Store

START = datetime(2026, 12, 1, tzinfo=UTC)


@pytest.fixture
def books(sqlite_home: Home) -> Iterator[Store]:
    """Empty books of one kind, for what does not depend on the database."""
    opened = sqlite_home.open()
    yield opened
    opened.close()


def asked(desk: FrontDesk, *items: dict[str, Any], **order: Any) -> PromiseAnswer:
    """What is promised for an order of these items."""
    data = json.dumps({**order, "items": list(items)}).encode()
    return promise(desk.store, desk.settings, read_asked(data, desk.settings, desk.now), desk.now)


def small(quantity: int = 40, **more: Any) -> dict[str, Any]:
    """A chest print."""
    return {"quantity": quantity, "width_mm": 90, "height_mm": 81.4, **more}


def test_what_is_promised_is_what_where_says_once_it_is_placed(books: Store) -> None:
    """The promised day holds, and its times are the order's own to within a fifth of an hour's luck."""
    desk = FrontDesk(books)
    for number in range(12):
        desk.take(f"OB-{number + 1}", items=[item(f"{number}.png", 60)], due="2026-12-04")
    answer = asked(desk, small(120))
    assert answer.offer.expected.latest <= answer.offer.due_at
    assert answer.offer.holds >= 0.9
    day = f"{answer.offer.due_at:%Y-%m-%d}"
    desk.take("OB-99", items=[item("new.png", 120)], due=day)
    foresee = foresight(books, desk.settings, desk.now)
    (placed,) = where_is(books, desk.settings, "OB-99", now=desk.now, foresee=foresee).orders
    assert placed.ready
    assert not placed.is_at_risk
    likely = datetime.fromisoformat(str(placed.ready["likely"]).replace("Z", "+00:00"))
    apart = abs((likely - answer.offer.expected.likely).total_seconds())
    assert apart < 0.2 * (likely - desk.now).total_seconds()


def test_no_earlier_day_would_have_held(books: Store) -> None:
    """Each working day before the promised one breaks in more than one future of ten."""
    desk = FrontDesk(books)
    for number in range(20):
        desk.take(f"OB-{number + 1}", items=[item(f"{number}.png", 90)], due="2026-12-03")
    answer = asked(desk, small(400), due="2026-12-02")
    assert f"{answer.offer.due_at:%Y-%m-%d}" > "2026-12-02"
    assert answer.wished
    assert answer.wished.holds < 0.9
    assert "Wished by Wed 2 Dec: that holds in" in answer.says


def test_orders_that_it_would_make_late_are_named_with_how_much(store: Store) -> None:
    """A large rush job pushes the one that just fits; the later day that pushes nobody is named."""
    desk = FrontDesk(store)
    desk.take("OB-1", "Hill Bakery", items=[item(quantity=100)], due="2026-12-03")
    answer = asked(desk, small(700), rush=True)
    (pushed,) = answer.offer.pushed
    assert (pushed.order, pushed.was <= pushed.due_at < pushed.then) == ("OB-1", True)
    assert "It would make late: OB-1 (due Thu 3 Dec 17:00, then at the latest " in answer.others[0]
    (told,) = answer.as_json()["promise"]["makes_late"]
    assert told["customer"] == "Hill Bakery"
    assert 0 < told["late_minutes"] <= told["later_minutes"]


def test_an_order_that_comes_later_makes_nobody_late(books: Store) -> None:
    """What is due before it is served before it, in the same futures."""
    desk = FrontDesk(books)
    desk.take("OB-1", items=[item(quantity=40)], due="2026-12-04")
    answer = asked(desk, small(40), due="2026-12-18")
    assert answer.wished
    assert (answer.wished.holds, answer.wished.pushed) == (1, ())
    assert "No other order would be late by it." in answer.others


def test_days_off_are_not_promised(books: Store) -> None:
    """On Friday evening, with Monday off, the day is Tuesday; on any other weekend it is Monday."""
    desk = FrontDesk(books, now=datetime(2026, 12, 4, 22, 0, tzinfo=UTC))
    assert asked(desk, small(10)).as_json()["promise"]["day"] == "2026-12-07"
    closed = desk.settings.line.model_copy(update={"closed": ("2026-12-07",)})
    desk.settings = desk.settings.model_copy(update={"line": closed})
    assert asked(desk, small(10)).as_json()["promise"]["day"] == "2026-12-08"


def test_the_side_that_nobody_told_is_said(store: Store) -> None:
    """Taken as a square; or as the artwork of an earlier order is shaped, where one is named."""
    desk = FrontDesk(store)
    desk.take("OB-1")
    (said,) = asked(desk, {"quantity": 4, "width_mm": 120}).assumed
    assert said == "The height of item 1 is not known: it is taken to be as high as it is wide, 120 mm."
    (said,) = asked(desk, {"quantity": 4, "height_mm": 80}).assumed
    assert said.startswith("The width of item 1 is not known")
    known = asked(desk, {"quantity": 4, "width_mm": 120, "artwork": "crest.png", "artwork_of": "OB-1"})
    assert known.assumed == ("Item 1 has the shape of its artwork in OB-1.",)
    assert asked(desk, small()).assumed == ()


def test_what_intake_would_ask_or_refuse_is_told(books: Store) -> None:
    """Sizes that do not add up, a misspelt key, a print wider than the film, an order that is there."""
    desk = FrontDesk(books)
    desk.take("OB-1")
    (question,) = asked(desk, small(garment={"sizes": {"S": 38}})).asked.questions
    assert question.startswith("The sizes of item 1 add up to 38")
    with pytest.raises(OrderRefused, match="widht_mm"):
        asked(desk, {"quantity": 4, "widht_mm": 120})
    with pytest.raises(OrderRefused, match="needs width_mm or height_mm"):
        asked(desk, {"quantity": 4})
    for slug, item_asked, order in (
        ("promise-too-large", {"quantity": 4, "width_mm": 700, "height_mm": 900}, {}),
        ("promise-placed", small(), {"order": "ob-1"}),
        ("promise-not-in-sight", small(100_000, width_mm=500, height_mm=900), {}),
    ):
        with pytest.raises(ShopProblem) as problem:
            asked(desk, item_asked, **order)
        assert problem.value.slug == slug


@pytest.mark.parametrize(("spoiled_share", "most_apart"), [(0.0, 0.0), (0.02, 1.0)])
def test_others_have_the_same_luck_with_and_without_one_more(spoiled_share: float, most_apart: float) -> None:
    """Where hands are plenty nobody waits for another, and not a second of any future changes.

    Only how long a reprint waits for hands hangs on how long the others work, and by little.
    """
    plenty = {"hands": 60, "gather_minutes": 0.0, "spoiled_share": spoiled_share}
    line = Line.of(with_paces(**dict.fromkeys(("print", "powder", "cure", "press"), plenty)))
    jobs = [_job(number) for number in range(20)]
    without = look_ahead(line, jobs, {}, 200)
    with_one = look_ahead(line, [*jobs, _job(99)], {}, 200)
    assert float(np.abs(with_one.finish[:20] - without.finish).max()) <= most_apart


def _job(number: int) -> Job:
    urgency = (True, START, f"OB-{number}", "")
    return Job(f"OB-{number}", str(number), "print", Work(10 + number, 0.4), "pressed", "chest", urgency)
