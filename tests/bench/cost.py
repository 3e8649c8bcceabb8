"""How well counted stock tells next month's white ink: simulated shops, after 1, 2, 3, 6 and 12 months."""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass

from tickets.cost.calibrating import Period, Takes, fit

SETTINGS = Takes(18.0, 2.5)  # ml a square metre and an hour, as shipped
COUNT_OFF_ML = 300.0
MONTHS = (1, 2, 3, 6, 12)


@dataclass(frozen=True)
class Shop:
    """What a shop truly takes, and how much it prints: m² under white a month, and machine hours."""

    takes: Takes
    area_m2: float
    hours: float


def make_shop(dice: random.Random) -> Shop:
    """k 0.6 to 1.6 times the setting, p 0 to 2.5 times; from a fifth of a printer to two."""
    takes = Takes(SETTINGS.k * dice.uniform(0.6, 1.6), SETTINGS.p * dice.uniform(0, 2.5))
    hours = dice.uniform(30, 320)
    return Shop(takes, hours * dice.uniform(2.0, 4.5), hours)


def months_of(shop: Shop, count: int, dice: random.Random) -> tuple[list[Period], Period]:
    """Counted months, each stock count off by up to half a litre, the use by 3 %; and the next month."""
    periods = []
    off = dice.uniform(-500, 500)
    for _ in range(count):
        area, hours = shop.area_m2 * dice.uniform(0.7, 1.3), shop.hours * dice.uniform(0.7, 1.3)
        used = shop.takes.amount(area, hours) * dice.gauss(1, 0.03)
        off_then, off = off, dice.uniform(-500, 500)
        periods.append(Period(30.44, area, hours, used + off_then - off))
    area, hours = shop.area_m2 * dice.uniform(0.7, 1.3), shop.hours * dice.uniform(0.7, 1.3)
    return periods, Period(30.44, area, hours, shop.takes.amount(area, hours))


def errors_after(months: int, shops: int, dice: random.Random) -> tuple[list[float], float]:
    """The relative error of next month's white ink in each shop, and how many lay within their error bar."""
    errors, inside = [], 0
    for _ in range(shops):
        counted, following = months_of(make_shop(dice), months, dice)
        found = fit(counted, SETTINGS, COUNT_OFF_ML)
        assert found is not None
        told = found.takes.amount(following.driver, following.other)
        errors.append(abs(told / following.used - 1))
        inside += errors[-1] <= found.error_share
    return errors, inside / shops


def run(argv: Sequence[str]) -> None:
    """`--shops N` (400): print the table."""
    shops = int(argv[argv.index("--shops") + 1]) if "--shops" in argv else 400
    write = sys.stdout.write
    dice = random.Random(2026)
    defaults = [
        abs(SETTINGS.amount(n.driver, n.other) / n.used - 1)
        for n in (months_of(make_shop(dice), 1, dice)[1] for _ in range(shops))
    ]
    write("| counted | median | 90th percentile | within its error bar |\n| --- | --- | --- | --- |\n")
    write(f"| none: settings | {_share(defaults, 5)} | {_share(defaults, 9)} | |\n")
    started = time.perf_counter()
    for months in MONTHS:
        errors, inside = errors_after(months, shops, random.Random(2026 + months))
        write(f"| {months} | {_share(errors, 5)} | {_share(errors, 9)} | {inside:.0%} |\n")
    fits = (time.perf_counter() - started) / shops / len(MONTHS)
    write(f"\n{shops} shops; a fit takes {fits * 1000:.2f} ms.\n")


def _share(errors: Sequence[float], tenths: int) -> str:
    return f"{statistics.quantiles(errors, n=10)[tenths - 1] * 100:.1f} %"
