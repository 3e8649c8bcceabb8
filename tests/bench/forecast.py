"""How long the forecast takes for many open tickets, and how often orders are ready by their latest time."""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections.abc import Iterable, Sequence

import numpy as np

from config.settings import load_settings
from tests.bench.machine import describe_machine
from tests.tickets.forecast.shops import START, Shop, Truth
from tickets.forecast.futures import look_ahead
from tickets.forecast.learning import learn
from tickets.forecast.model import Job, Line, Work

LOADS = (60.0, 52.0, 48.0)  # minutes between two orders: busy, full, and more than the line can do at times


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench forecast [--tickets 2000] [--futures 500] [--shops 0]`: prints tables."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench forecast")
    asked.add_argument("--tickets", type=int, default=2000)
    asked.add_argument("--futures", type=int, default=500)
    asked.add_argument("--times", type=int, default=5)
    asked.add_argument("--shops", type=int, default=0, help="simulated shops a load, to see how honest it is")
    asked.add_argument("--first-seed", type=int, default=0, help="of those shops; fresh ones tell the truth")
    given = asked.parse_args(argv)
    tell(describe_machine())
    if given.times:
        tell_speed(given.tickets, given.futures, given.times)
    if given.shops:
        seeds = range(given.first_seed, given.first_seed + given.shops)
        tell_honesty(seeds)
        tell_following(seeds)


def tell_speed(tickets: int, futures: int, times: int) -> None:
    """How long one look ahead takes."""
    tell("| open tickets | futures | wall s, the fastest | the median |\n| --- | --- | --- | --- |")
    jobs, line = open_tickets(tickets), Line.of(load_settings(None, {}))
    walls = []
    for _ in range(times):
        start = time.perf_counter()
        look_ahead(line, jobs, {}, futures)
        walls.append(time.perf_counter() - start)
    tell(f"| {tickets} | {futures} | {min(walls):.2f} | {float(np.median(walls)):.2f} |")


def open_tickets(count: int) -> list[Job]:
    """Tickets that all wait at the first station, drawn from a seed: the most that there can be to do."""
    luck = np.random.default_rng(11)
    jobs = []
    for number in range(count):
        pieces = 1 + int(luck.lognormal(2.6, 0.9))
        urgency = (bool(luck.random() > 0.05), START, f"OB-{number:05}", "")
        jobs.append(
            Job(
                f"OB-{number:05}",
                str(number),
                "print",
                Work(pieces, pieces * 0.02),
                "pressed",
                "pressed, hot peel, small",
                urgency,
            )
        )
    return jobs


def tell_honesty(seeds: Iterable[int]) -> None:
    """Ready by the likely and by the latest time, on shops with known truth."""
    tell("\n| minutes between orders | forecasts | by the likely time | by the latest |")
    tell("| --- | --- | --- | --- |")
    for minutes in LOADS:
        kept: list[tuple[bool, bool]] = []
        for seed in seeds:
            kept += honesty(minutes, seed)
        likely, latest = np.mean(kept, axis=0)
        tell(f"| {minutes:.0f} | {len(kept)} | {likely:.1%} | {latest:.1%} |")


def honesty(minutes: float, seed: int) -> list[tuple[bool, bool]]:
    """Four forecasts of one shop, a few days apart, against what became of them."""
    factors = {"press": 1.1, "print": 0.8, "cure": 1.3}
    shop = Shop(None, Truth(factors, order_minutes=minutes, breaks=0.04, forgotten=0.04), seed)
    told = []
    for look in range(4):
        shop.work_until(4000 + look * 1800)
        jobs, paces = shop.jobs_and_paces()
        outlook = look_ahead(shop.line, jobs, paces, 300)
        for order, rows in outlook.orders().items():
            likely, latest = np.quantile(outlook.ready(rows), (0.5, 0.9))
            told.append((order, shop.now + likely, shop.now + latest))
    shop.work_until_ready(order for order, _, _ in told)
    return [
        (shop.ready_at(order) <= likely, shop.ready_at(order) <= latest) for order, likely, latest in told
    ]


def tell_following(seeds: Iterable[int]) -> None:
    """What is believed of press, eight working hours after it goes half or twice as fast."""
    tell("\n| press takes | shops | believed: median | 5th to 95th | within 25 % |")
    tell("| --- | --- | --- | --- | --- |")
    for factor in (2.0, 0.5):
        believed = [believed_after_a_day(factor, seed) for seed in seeds]
        low, middle, high = np.quantile(believed, (0.05, 0.5, 0.95))
        near = np.mean([abs(one / factor - 1) <= 0.25 for one in believed])
        tell(f"| x {factor} | {len(believed)} | x {middle:.2f} | x {low:.2f} to x {high:.2f} | {near:.0%} |")


def believed_after_a_day(factor: float, seed: int) -> float:
    """The factor on press's time that its scans tell a working day after it has changed to this one."""
    shop = Shop(None, Truth(order_minutes=30, changes={4800.0: {"press": factor}}), seed)
    shop.work_until(4800 + 480)
    return math.exp(learn(shop.line, shop.history)["press"].factor)


def tell(line: str) -> None:
    """Print at once, for those who watch."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()
