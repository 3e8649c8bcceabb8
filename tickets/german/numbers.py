"""Numbers, money, days and times as they are written in German: by the CLDR, which Babel carries."""

from __future__ import annotations

from datetime import date, datetime, time
from decimal import Decimal
from zoneinfo import ZoneInfo

_GERMAN = "de"


def number(value: float, most: int = 0, least: int | None = None) -> str:
    """A number with so many decimals: 1.250 or 0,30; `least` of them are written even where they are 0."""
    from babel.numbers import format_decimal  # loaded where German is spoken only

    places = most if least is None else least
    pattern = "#,##0" + ("." + "0" * places + "#" * (most - places) if most else "")
    return format_decimal(value, format=pattern, locale=_GERMAN)


def short(value: float) -> str:
    """A number without idle zeros: 2,35 or 90."""
    return number(value, 3, 0)


def percent(share: float, places: int = 0) -> str:
    """A share of the whole: 12 %."""
    return f"{number(share * 100, places)} %"


def money(amount: float, currency: str) -> str:
    """An amount of money: 12,50 €."""
    from babel.numbers import format_currency

    return format_currency(amount, currency, locale=_GERMAN)


def money_said(told: str) -> str:
    """Money as the books say it (GBP 12.34, GBP 0.0268), as it is written in German."""
    from babel.numbers import format_currency

    currency, _, amount = told.partition(" ")
    places = len(amount.partition(".")[2])
    pattern = "#,##0" + (f".{'0' * places}" if places else "") + "\u00a0¤"
    return format_currency(Decimal(amount), currency, pattern, locale=_GERMAN, currency_digits=False)


def day(when: date, *, with_year: bool) -> str:
    """Fr., 4. Dez., on request with the year."""
    from babel.dates import format_skeleton

    as_time = when if isinstance(when, datetime) else datetime.combine(when, time())
    return format_skeleton("yMMMEd" if with_year else "MMMEd", as_time, locale=_GERMAN)


def local_day(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The day in the shop; with the year when it is another than now."""
    local = at.astimezone(zone)
    return day(local.replace(tzinfo=None), with_year=local.year != now.astimezone(zone).year)


def local_time(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Day and time on the shop's own clock: Do., 3. Dez., 15:20 Uhr."""
    return f"{local_day(at, now, zone)}, {at.astimezone(zone):%H:%M} Uhr"


def stamp(at: datetime, zone: ZoneInfo) -> str:
    """A day and a time in a list: 03.12.2026 15:20."""
    return f"{at.astimezone(zone):%d.%m.%Y %H:%M}"
