"""What is in stock, how long it lasts, and what the shop's counts say of its settings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from sqlalchemy import Row
from sqlmodel import Session, col, select

from config.settings import Settings
from config.settings_cost import Cost
from tickets.cost.calibrating import Fitted, fit
from tickets.cost.costing import CHANNELS
from tickets.cost.money import from_minor
from tickets.cost.stock_answers import Calibration, CalibrationAnswer, StockAnswer, StockLine
from tickets.cost.stocktaking import (
    POWDER,
    WHITE,
    Note,
    NoteKind,
    Took,
    amount_of,
    consumables,
    film_name,
    lasts,
    on_hand,
    periods_of,
    takes_of,
    unit_of,
)
from tickets.models_stock import FilmUse, StockNote
from tickets.store import Store
from tickets.wording_cost import reckoned_by

_PRICED_BY = {"m": 1, "ml": 1000, "g": 1000}  # prices are a metre, a litre, a kilogram


@dataclass(frozen=True, slots=True)
class StockBook:
    """All that the books say of stock, by consumable."""

    settings: Settings
    notes: Mapping[str, Sequence[Note]]
    took: Sequence[Took]

    def fitted(self, name: str) -> Fitted | None:
        """What counts say of one consumable; None before two counts with printing between."""
        stock = self.settings.stock
        off = {"g": stock.count_off_g, "m": stock.count_off_m, "ml": stock.count_off_ml}[unit_of(name)]
        periods = periods_of(name, self.notes.get(name, ()), self.took)
        return fit(periods, takes_of(name, self.settings.cost), off)

    def price(self, name: str) -> Decimal | None:
        """The price a metre, litre or kilogram of the last purchase that has one, in the shop's currency."""
        currency = self.settings.money.currency
        priced = [
            n
            for n in self.notes.get(name, ())
            if n.kind is NoteKind.BOUGHT and n.price_minor is not None and n.currency == currency and n.amount
        ]
        if not priced:
            return None
        last = max(priced, key=lambda n: n.at)
        return from_minor(last.price_minor or 0, currency) * _PRICED_BY[unit_of(name)] / Decimal(last.amount)

    def rates(self) -> Cost:
        """The settings' figures, with prices of the last purchases and what counts say in their place."""
        cost = self.settings.cost
        told: dict[str, object] = {}
        colours = [(self.fitted(name) or None, takes_of(name, cost)) for name in CHANNELS]
        figures = [f.takes if f else t for f, t in colours]
        told["colour_ml_per_m2"] = sum(t.k for t in figures) / len(figures)
        told["colour_purge_ml_per_hour"] = sum(t.p for t in figures)
        if white := self.fitted(WHITE):
            told |= {"white_ml_per_m2": white.takes.k, "white_purge_ml_per_hour": white.takes.p}
        if powder := self.fitted(POWDER):
            told["powder_g_per_m2"] = powder.takes.k
        film = film_name(self.settings.film.default_kind)
        inks = [price for price in map(self.price, CHANNELS) if price is not None]
        prices = {
            "film_per_metre": self.price(film),
            "white_per_litre": self.price(WHITE),
            "powder_per_kg": self.price(POWDER),
            "colour_per_litre": sum(inks, Decimal(0)) / len(inks) if inks else None,
        }
        told |= {key: price for key, price in prices.items() if price is not None}
        return cost.model_copy(update=told)


def _calibrations(book: StockBook) -> list[Calibration]:
    """Every consumable that costs something, beside the settings' figures."""
    names = [n for n in consumables(book.settings.film.kinds) if n in book.notes or not n.startswith("film")]
    return [
        Calibration(n, unit_of(n), takes_of(n, book.settings.cost), book.fitted(n), book.price(n))
        for n in names
    ]


def reckoned_by_says(book: StockBook) -> str:
    """What the costs of these books rest on: counts, with how sure they are, or the settings."""
    return reckoned_by([(row.name, row.says) for row in _calibrations(book) if row.fitted is not None])


def read_stock(session: Session, settings: Settings) -> StockBook:
    """All notes, and all that scans took and that was not given back."""
    notes: dict[str, list[Note]] = defaultdict(list)
    for row in session.exec(select(StockNote).order_by(col(StockNote.at), col(StockNote.id))):
        note = Note(row.at, NoteKind(row.kind), row.amount, row.price_minor, row.currency)
        notes[row.consumable].append(note)
    table = FilmUse.__table__  # type: ignore[attr-defined]  # rows, not objects: there are many in a year
    asked = table.select().where(~table.c.given_back).order_by(table.c.at, table.c.id)
    return StockBook(settings, notes, [_took(row) for row in session.connection().execute(asked)])


def rates_in_use(store: Store, settings: Settings) -> Cost:
    """The figures that costs and prices are reckoned by now."""
    with store.reading() as session:
        return read_stock(session, settings).rates()


def stock_now(store: Store, settings: Settings, now: datetime) -> StockAnswer:
    """Every consumable that was ever bought or counted: what is there, and how long it lasts."""
    with store.reading() as session:
        book = read_stock(session, settings)
    today = now.astimezone(settings.shop.zone).date()
    lines = [line for n in consumables(settings.film.kinds) if (line := _line(book, n, today)) is not None]
    unknown = [n for n in consumables(settings.film.kinds) if n not in book.notes]
    return StockAnswer(today, settings.stock.delivery_days, settings.stock.warn_days, lines, unknown)


def low_stock(store: Store, settings: Settings, now: datetime) -> list[str]:
    """A sentence for each consumable that must be ordered within `stock.warn_days`; for the line's page."""
    answer = stock_now(store, settings, now)
    return [line.says(answer.today, answer.delivery_days) for line in answer.low]


def calibration(store: Store, settings: Settings) -> CalibrationAnswer:
    """What counts say of each consumable beside the settings' figures."""
    with store.reading() as session:
        book = read_stock(session, settings)
    return CalibrationAnswer(settings.money.currency, _calibrations(book))


def _line(book: StockBook, name: str, today: date) -> StockLine | None:
    fitted = book.fitted(name)
    takes = fitted.takes if fitted else takes_of(name, book.settings.cost)
    there = on_hand(name, book.notes.get(name, ()), book.took, takes)
    if there is None:
        return None
    zone, back = book.settings.shop.zone, book.settings.stock.look_back_days
    days = [today - timedelta(days=n) for n in range(1, back + 1)]
    by_day: dict[date, float] = defaultdict(float)
    for took in book.took:
        by_day[took.at.astimezone(zone).date()] += amount_of(name, took, takes)
    known = min((t.at.astimezone(zone).date() for t in book.took), default=today)
    daily = [by_day[day] for day in days if day >= known and (day.weekday() < 5 or by_day[day])]
    daily = daily or ([by_day[today]] if by_day[today] else [])
    until = lasts(there, daily, today, book.settings.stock.delivery_days)
    return StockLine(name, unit_of(name), there, sum(daily) / len(daily) if daily else 0.0, until)


def _took(row: Row[Any]) -> Took:
    cmyk = (row.cyan_m2, row.magenta_m2, row.yellow_m2, row.black_m2)
    return Took(row.at, row.film, row.film_m, row.runs, row.hours, cmyk, row.white_m2, row.inked_m2)
