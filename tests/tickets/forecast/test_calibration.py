"""Is the forecast honest: on simulated shops whose truth is known, and when that truth changes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.tickets.forecast.shops import Shop, Truth
from tickets.forecast.futures import look_ahead
from tickets.forecast.learning import learn

FACTORS = {"press": 1.1, "print": 0.8, "cure": 1.3}


@pytest.mark.parametrize("minutes_between_orders", [60.0, 52.0, 48.0])
def test_nine_orders_of_ten_are_ready_by_their_latest_time(minutes_between_orders: float) -> None:
    """85 to 95 % over many forecasts of many shops, with breaks, forgotten scans and orders still coming."""
    kept = asked = 0
    for seed in range(200, 214):
        truth = Truth(FACTORS, order_minutes=minutes_between_orders, breaks=0.04, forgotten=0.04)
        shop, latest = Shop(None, truth, seed), []
        for look in range(4):
            shop.work_until(4000 + look * 1800)
            jobs, paces = shop.jobs_and_paces()
            outlook = look_ahead(shop.line, jobs, paces, 200)
            for order, rows in outlook.orders().items():
                latest.append((order, shop.now + float(np.quantile(outlook.ready(rows), 0.9))))
        shop.work_until_ready(order for order, _ in latest)
        kept += sum(shop.ready_at(order) <= at for order, at in latest)
        asked += len(latest)
    assert asked > 120
    assert 0.85 <= kept / asked <= 0.95


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


def test_few_scans_are_believed_a_little() -> None:
    """With three scans the pace lies between what is set and what was seen, and its doubt stays wide."""
    shop = Shop(None, Truth({"press": 2.0}, order_minutes=60), 5)
    shop.work_until(6000)
    here = [done for done in shop.history if done.station == "press"]
    few, many = learn(shop.line, here[:4])["press"], learn(shop.line, here)["press"]
    assert 0 < few.factor < many.factor
    assert few.doubt > many.doubt
    assert learn(shop.line, [])["press"].factor == 0
