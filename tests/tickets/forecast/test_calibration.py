"""Is the forecast honest: on simulated shops whose truth is known, and when that truth changes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np
import pytest

from tests.tickets.forecast.shops import START, Shop, Truth, with_paces
from tickets.forecast.futures import look_ahead
from tickets.forecast.learning import Done, learn
from tickets.forecast.model import Job, Line, Pace, Work, usual_minutes

FACTORS = {"press": 1.1, "print": 0.8, "cure": 1.3}


SHOPS = range(300, 324)
LOADS = (60.0, 52.0, 48.0)  # minutes between orders: busy, full, and more than the line can do at times


def kept_and_asked(minutes_between_orders: float, seed: int) -> tuple[int, int]:
    """Four forecasts of one shop, a few days apart: how many orders were ready by their latest time."""
    truth = Truth(FACTORS, order_minutes=minutes_between_orders, breaks=0.04, forgotten=0.04)
    shop, latest = Shop(None, truth, seed), []
    for look in range(4):
        shop.work_until(4000 + look * 1800)
        jobs, paces = shop.jobs_and_paces()
        outlook = look_ahead(shop.line, jobs, paces, 200)
        for order, rows in outlook.orders().items():
            latest.append((order, shop.now + float(np.quantile(outlook.ready(rows), 0.9))))
    shop.work_until_ready(order for order, _ in latest)
    return sum(shop.ready_at(order) <= at for order, at in latest), len(latest)


@pytest.fixture(scope="module")
def told() -> Mapping[float, tuple[int, int]]:
    """The same summed over many shops, by load."""
    return {load: _sum(kept_and_asked(load, seed) for seed in SHOPS) for load in LOADS}


def _sum(pairs: Iterable[tuple[int, int]]) -> tuple[int, int]:
    kept, asked = zip(*pairs, strict=True)
    return sum(kept), sum(asked)


def test_nine_orders_of_ten_are_ready_by_their_latest_time(told: Mapping[float, tuple[int, int]]) -> None:
    """85 to 95 % over all loads, with breaks, forgotten scans and orders still coming.

    The orders of one shop share their luck, so that 24 shops vary by 2.6 points and 72 by 1.6 (drawn again
    from 180 shops): the bounds are three such steps from what is measured, and 5 points are not overlooked.
    """
    kept, asked = _sum(told.values())
    assert asked > 1000
    assert 0.85 <= kept / asked <= 0.96


@pytest.mark.parametrize("minutes_between_orders", LOADS)
def test_no_load_is_told_much_too_early_or_much_too_late(
    told: Mapping[float, tuple[int, int]], minutes_between_orders: float
) -> None:
    """Each by itself, where chance is larger."""
    kept, asked = told[minutes_between_orders]
    assert 0.82 <= kept / asked <= 0.985


def test_what_somebody_is_at_is_finished_before_what_is_more_urgent() -> None:
    """A rush job that comes while another is being pressed waits for it: nothing is taken off the press."""
    line = Line.of(with_paces(press={"spread": 0.1, "doubt": 0.0, "spoiled_share": 0.0}))
    large = Job("OB-1", "1", "press", Work(200, 4.0), "pressed", "", (True, START, "OB-1", ""), begun=10.0)
    rush = Job("OB-2", "2", "press", Work(5, 0.1), "pressed", "", (False, START, "OB-2", ""))
    outlook = look_ahead(line, [rush, large], {}, 100)
    assert (outlook.finish[0] > outlook.finish[1]).all()
    alone = look_ahead(line, [large], {}, 100)
    assert np.median(outlook.finish[1]) == pytest.approx(np.median(alone.finish[0]), rel=0.06)


def test_pauses_are_told_from_slow_work() -> None:
    """How often somebody is away, and for how long; the pace is that of the work without them."""
    shop = Shop(None, Truth(FACTORS, breaks=0.06, order_minutes=52), 9)
    shop.work_until(12_000)
    pace = learn(shop.line, shop.history)["press"]
    assert pace.pause_share == pytest.approx(0.06, abs=0.025)
    assert pace.pause_minutes == pytest.approx(20, rel=0.35)
    assert math.exp(pace.factor) == pytest.approx(FACTORS["press"], rel=0.06)
    steady = Shop(None, Truth(FACTORS, order_minutes=52), 9)
    steady.work_until(12_000)
    assert learn(steady.line, steady.history)["press"].pause_share < 0.01


def test_who_was_away_long_ago_may_be_away_still() -> None:
    """Work that takes twice its time already is rather in a pause: what is left is longer than without."""
    line = Line.of(with_paces(press={"spoiled_share": 0.0, "doubt": 0.0}))
    pace = replace(Pace.configured(line.stations[3].pace), spread=0.2)
    begun = 2.0 * usual_minutes(line.stations[3].pace, Work(10, 0.2))
    job = Job("OB-1", "1", "press", Work(10, 0.2), "pressed", "", (True, START, "OB-1", ""), begun=begun)
    steady, away = (
        float(np.median(look_ahead(line, [job], {"press": p}, 400).finish[0]))
        for p in (pace, replace(pace, pause_share=0.05, pause_minutes=20.0))
    )
    assert away > steady + 5


def test_paces_are_learnt_in_spite_of_breaks_and_forgotten_scans() -> None:
    """After a fortnight every station's pace is known within 12 %."""
    shop = Shop(None, Truth(FACTORS, breaks=0.03, forgotten=0.05, order_minutes=55), 3)
    shop.work_until(6000)
    paces = learn(shop.line, shop.history)
    for station in shop.line.stations:
        assert math.exp(paces[station.name].factor) == pytest.approx(FACTORS.get(station.name, 1.0), rel=0.12)


@pytest.mark.parametrize("seed", range(4))
def test_a_station_at_half_its_pace_is_believed_within_a_day(seed: int) -> None:
    """Eight working hours after press goes half as fast, more than four fifths of it are known."""
    truth = Truth(order_minutes=30, changes={4800.0: {"press": 2.0}})
    shop = Shop(None, truth, seed)
    shop.work_until(4800)
    assert math.exp(learn(shop.line, shop.history)["press"].factor) == pytest.approx(1.0, rel=0.15)
    shop.work_until(4800 + 480)
    assert math.exp(learn(shop.line, shop.history)["press"].factor) > 1.6


def test_scans_that_were_all_made_at_once_tell_no_pace() -> None:
    """Whoever catches up at the end of the day, or tries it out, makes no shop a hundred times faster."""
    line = Line.of(with_paces())
    urgency = (True, START, "OB-1", "")
    done = [Done("press", n, 60.0 + n / 600, 30.0, Work(40, 0.8), "", urgency) for n in range(30)]
    pace = learn(line, done)["press"]
    assert (pace.factor, pace.scans) == (0.0, 0)


def test_few_scans_are_believed_a_little() -> None:
    """With three scans the pace lies between what is set and what was seen, and its doubt stays wide."""
    shop = Shop(None, Truth({"press": 2.0}, order_minutes=60), 5)
    shop.work_until(6000)
    here = [done for done in shop.history if done.station == "press"]
    few, many = learn(shop.line, here[:4])["press"], learn(shop.line, here)["press"]
    assert 0 < few.factor < many.factor
    assert few.doubt > many.doubt
    assert learn(shop.line, [])["press"].factor == 0
