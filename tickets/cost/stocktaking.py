"""What is in stock, how long it lasts, and what counts tell: from purchases, counts and what runs took."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from itertools import pairwise

from config.settings_cost import Cost
from tickets.cost.calibrating import Period, Takes
from tickets.cost.costing import CHANNELS
from tickets.film.model import InkUse
from tickets.wording_cost import amount_not_read

WHITE, POWDER, FILM = "white", "powder", "film"
_NINE_OF_TEN = 1.2816  # standard deviations: one side holds 90 % of a normal error
_LONGEST_DAYS = 3650
_FEW_DAYS = 5
_AMOUNT = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,6})?)\s*([a-z]+)")
_IN_UNIT = {"ml": {"ml": 1.0, "l": 1000.0}, "g": {"g": 1.0, "kg": 1000.0}, "m": {"m": 1.0, "mm": 0.001}}
_MOST = 1e8  # ml, g or m: more is a slip


class NoteKind(StrEnum):
    """What may be written down about stock."""

    BOUGHT = "bought"
    COUNT = "count"
    OPENED = "opened"
    USED_UP = "used-up"


@dataclass(frozen=True, slots=True)
class Note:
    """One thing written down about one consumable. Amounts in ml, g or m; prices in minor units."""

    at: datetime
    kind: NoteKind
    amount: float
    price_minor: int | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class Took:
    """What one scan at the first station printed: areas in m², film in m, hours, and its part of runs."""

    at: datetime
    film: str
    film_m: float
    runs: float
    hours: float
    cmyk_m2: tuple[float, float, float, float]
    white_m2: float
    inked_m2: float


def film_name(kind: str) -> str:
    """The name of a film's stock: `film hot peel`."""
    return f"{FILM} {kind}"


def unit_of(name: str) -> str:
    """The unit that a consumable is kept in."""
    return "g" if name == POWDER else "m" if name.startswith(FILM) else "ml"


def consumables(film_kinds: Sequence[str]) -> list[str]:
    """All that is kept in stock, by name."""
    return [*CHANNELS, WHITE, POWDER, *map(film_name, film_kinds)]


def read_amount(written: str, unit: str) -> float:
    """An amount as people write it, in ml, g or m. Raises BadInput `amount-not-read`."""
    found = _AMOUNT.fullmatch(written.strip().casefold())
    in_unit = _IN_UNIT[unit].get(found[2]) if found else None
    if found is None or in_unit is None or float(found[1]) * in_unit > _MOST:
        raise amount_not_read(written, unit)
    return float(found[1]) * in_unit


def takes_of(name: str, cost: Cost) -> Takes:
    """What the settings say that printing takes of a consumable."""
    if name == WHITE:
        return Takes(cost.white_ml_per_m2, cost.white_purge_ml_per_hour)
    if name == POWDER:
        return Takes(cost.powder_g_per_m2, 0.0)
    if name in CHANNELS:
        return Takes(cost.colour_ml_per_m2, cost.colour_purge_ml_per_hour / len(CHANNELS))
    return Takes(1.0, cost.lead_mm / 1000)


def drivers_of(name: str, took: Took) -> tuple[float, float]:
    """What of a print a consumable's use goes by: its area or film, and hours or runs."""
    if name == WHITE:
        return took.white_m2, took.hours
    if name == POWDER:
        return took.inked_m2, 0.0
    if name in CHANNELS:
        return took.cmyk_m2[CHANNELS.index(name)], took.hours
    return (took.film_m, took.runs) if film_name(took.film) == name else (0.0, 0.0)


def amount_of(name: str, took: Took, takes: Takes) -> float:
    """How much of a consumable a print took."""
    return takes.amount(*drivers_of(name, took))


def on_hand(name: str, notes: Sequence[Note], took: Sequence[Took], takes: Takes) -> float | None:
    """What should be there now; None before anything was bought or counted. Never under nothing.

    A count replaces what was reckoned. A roll or bottle that is used up took what it held, whatever was
    reckoned since it was opened.
    """
    if not notes:
        return None
    events: list[tuple[datetime, Note | Took]] = [*((n.at, n) for n in notes), *((t.at, t) for t in took)]
    there = since_opened = 0.0
    opened: float | None = None
    for _, event in sorted(events, key=lambda pair: pair[0]):
        if isinstance(event, Took):
            used = amount_of(name, event, takes)
            there, since_opened = there - used, since_opened + used
        elif event.kind is NoteKind.BOUGHT:
            there += event.amount
        elif event.kind is NoteKind.COUNT:
            there = event.amount
            opened = None  # the count has seen what is left in it
        elif event.kind is NoteKind.OPENED:
            opened, since_opened = event.amount, 0.0
        elif opened is not None:
            there += since_opened - opened
            opened = None
    return max(0.0, there)


def periods_of(name: str, notes: Sequence[Note], took: Sequence[Took]) -> list[Period]:
    """From count to count: used = opening + bought − closing, with what was printed meanwhile."""
    counts = sorted((n for n in notes if n.kind is NoteKind.COUNT), key=lambda n: n.at)
    periods = []
    for opening, closing in pairwise(counts):
        bought = sum(n.amount for n in notes if n.kind is NoteKind.BOUGHT and opening.at < n.at <= closing.at)
        between = [drivers_of(name, t) for t in took if opening.at < t.at <= closing.at]
        days = (closing.at - opening.at) / timedelta(days=1)
        driver, other = sum(d for d, _ in between), sum(o for _, o in between)
        periods.append(Period(days, driver, other, opening.amount + bought - closing.amount))
    return periods


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long stock lasts: the day on which it likely runs out, the day that it outlasts nine times of ten,
    and the last day to order on for that.
    """

    likely: date
    latest_sure: date
    order_by: date


def lasts(there: float, daily: Sequence[float], today: date, delivery_days: int) -> Lasting | None:
    """From what is there and what working days took lately; None when nothing was taken.

    Days are taken as alike and independent: n of them take n·m ± √n·s; the sure day is where m·n + 1.28·s·√n
    reaches what is there.
    """
    mean = sum(daily) / len(daily) if daily else 0.0
    if mean <= 0:
        return None
    sd = math.sqrt(sum((d - mean) ** 2 for d in daily) / max(1, len(daily) - 1))
    if len(daily) < _FEW_DAYS:
        sd = max(sd, mean / 2)  # too few days to tell by themselves how much they differ
    spread = _NINE_OF_TEN * sd
    root = (math.sqrt(spread * spread + 4 * mean * there) - spread) / (2 * mean)
    likely = add_working_days(today, min(_LONGEST_DAYS, math.floor(there / mean)))
    sure = add_working_days(today, min(_LONGEST_DAYS, math.floor(root * root)))
    return Lasting(likely, sure, add_working_days(sure, -delivery_days))


def add_working_days(day: date, count: int) -> date:
    """The working day (Monday to Friday) so many after, or before, a day."""
    step = timedelta(days=1 if count >= 0 else -1)
    left = abs(count)
    while left or day.weekday() > 4:
        day += step
        left -= left > 0 and day.weekday() <= 4
    return day


def ink_m2(ink: InkUse, pieces: int) -> tuple[tuple[float, float, float, float], float, float]:
    """What so many pieces cover in m²: each colour, white, all that is inked."""
    cyan, magenta, yellow, black = (c * pieces / 1e6 for c in ink.cmyk_mm2)
    return (cyan, magenta, yellow, black), ink.white_mm2 * pieces / 1e6, ink.inked_mm2 * pieces / 1e6
