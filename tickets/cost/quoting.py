"""From cost to price, by the shop's own table: breaks by quantity, a least price, set-up, rush."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from config.settings_cost import Quote
from tickets.cost.money import each_text, from_minor, money_text, to_minor


@dataclass(frozen=True, slots=True)
class Costed:
    """One item that a price is asked for: its pieces, and what all of them cost in minor units."""

    what: str
    pieces: int
    cost: int


@dataclass(frozen=True, slots=True)
class Priced:
    """One item with its price: a piece's, its set-up's and all of it, in minor units."""

    item: Costed
    each: int
    set_up: int

    @property
    def total(self) -> int:
        """Pieces and set-up."""
        return self.each * self.item.pieces + self.set_up


@dataclass(frozen=True, slots=True)
class QuoteAnswer:
    """The price of an order before tax. `made_up`: what brings it to the least order, in minor units."""

    order: str
    currency: str
    items: Sequence[Priced]
    made_up: int
    rush: bool
    notes: Sequence[str] = ()

    @property
    def total(self) -> int:
        """All of it, before tax."""
        return sum(item.total for item in self.items) + self.made_up

    @property
    def cost(self) -> int:
        """What it costs the shop."""
        return sum(item.item.cost for item in self.items)

    def as_json(self) -> dict[str, Any]:
        """Amounts as decimal strings in the currency's digits, the total in minor units too."""
        return {
            "order": self.order,
            "currency": self.currency,
            "total": self._amount(self.total),
            "total_minor": self.total,
            "cost": self._amount(self.cost),
            "rush": self.rush,
            "made_up_to_least": self._amount(self.made_up),
            "items": [
                {
                    "what": priced.item.what,
                    "pieces": priced.item.pieces,
                    "each": self._amount(priced.each),
                    "set_up": self._amount(priced.set_up),
                    "total": self._amount(priced.total),
                    "cost": self._amount(priced.item.cost),
                }
                for priced in self.items
            ],
            "notes": list(self.notes),
        }

    def as_lines(self) -> list[str]:
        """A line an item, the sum, and what it costs the shop."""
        said = []
        for priced in self.items:
            set_up = f" + {self._amount(priced.set_up)} set-up" if priced.set_up else ""
            said.append(
                f"{priced.item.what}: {priced.item.pieces} × {money_text(priced.each, self.currency)}{set_up}"
                f" = {money_text(priced.total, self.currency)}"
            )
        if self.made_up:
            said.append(f"made up to the least order: {money_text(self.made_up, self.currency)}")
        rush = ", rush counted in" if self.rush else ""
        said.append(f"{self.order}: {money_text(self.total, self.currency)} before tax{rush}.")
        pieces = sum(priced.item.pieces for priced in self.items)
        cost = (
            f"{money_text(self.cost, self.currency)} ({each_text(self.cost, pieces, self.currency)} a piece)"
        )
        return [*said, f"It costs you about {cost}.", *self.notes]

    def _amount(self, minor: int) -> str:
        return f"{from_minor(minor, self.currency):f}"


def price_items(items: Sequence[Costed], table: Quote, rush: bool, currency: str) -> tuple[list[Priced], int]:
    """Each item's price, and what brings their sum to the least order.

    A piece's price is its cost × the factor of the last break that its item reaches, at least
    `least_piece`, with the rush; it is rounded to the minor unit, halves up, and then multiplied, so that
    the lines can be checked by hand. The set-up bears the rush too.
    """
    more = 1 + table.rush_percent / 100 if rush else Decimal(1)
    priced = [
        Priced(
            item,
            to_minor(_each(item, table, currency) * more, currency),
            to_minor(table.item_set_up * more, currency),
        )
        for item in items
    ]
    least = to_minor(table.least_order, currency)
    return priced, max(0, least - sum(item.total for item in priced))


def _each(item: Costed, table: Quote, currency: str) -> Decimal:
    factor = next(b.times_cost for b in reversed(table.breaks) if b.pieces <= item.pieces)
    return max(table.least_piece, from_minor(item.cost, currency) / item.pieces * factor)
