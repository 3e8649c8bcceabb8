"""What is answered about stock and about calibration: plain values, as JSON and as lines to be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from tickets.cost.calibrating import Fitted, Takes
from tickets.cost.stocktaking import Lasting, add_working_days
from tickets.wording_cost import amount_text, day_text, say_stock

__all__ = ["amount_text", "day_text"]
_LARGE = {"ml": ("l", 1000), "g": ("kg", 1000), "m": ("m", 1)}


@dataclass(frozen=True, slots=True)
class StockLine:
    """One consumable: what should be there, what a working day takes, and until when it lasts."""

    name: str
    unit: str
    amount: float
    daily: float
    lasting: Lasting | None

    def says(self, today: date, delivery_days: int) -> str:
        """One sentence that can be acted on."""
        left, until = amount_text(self.amount, self.unit), self.lasting
        if until is None:
            return say_stock(self.name, left, None, delivery_days, is_urgent=False)
        days = (until.likely, until.latest_sure, until.order_by)
        told = tuple(day_text(day, today) for day in days)
        return say_stock(self.name, left, told, delivery_days, is_urgent=until.order_by <= today)


@dataclass(frozen=True, slots=True)
class StockAnswer:
    """All stock on one day."""

    today: date
    delivery_days: int
    warn_days: int
    lines: Sequence[StockLine]
    unknown: Sequence[str]

    @property
    def low(self) -> list[StockLine]:
        """Those that must be ordered within `warn_days` working days."""
        until = add_working_days(self.today, self.warn_days)
        return [line for line in self.lines if line.lasting and line.lasting.order_by <= until]

    def as_json(self) -> dict[str, Any]:
        """Amounts in ml, g and m; days as RFC 3339 dates."""
        low = self.low
        return {
            "today": self.today.isoformat(),
            "delivery_days": self.delivery_days,
            "stock": [
                {
                    "name": line.name,
                    "unit": line.unit,
                    "left": round(line.amount, 1),
                    "a_day": round(line.daily, 2),
                    "likely_until": line.lasting.likely.isoformat() if line.lasting else None,
                    "sure_until": line.lasting.latest_sure.isoformat() if line.lasting else None,
                    "order_by": line.lasting.order_by.isoformat() if line.lasting else None,
                    "low": line in low,
                    "says": line.says(self.today, self.delivery_days),
                }
                for line in self.lines
            ],
            "not_counted": list(self.unknown),
        }

    def as_lines(self) -> list[str]:
        """A sentence each, what must be ordered first."""
        low = self.low
        ordered = [*low, *(line for line in self.lines if line not in low)]
        said = [line.says(self.today, self.delivery_days) for line in ordered]
        if self.unknown:
            said.append(f"Never bought or counted here: {', '.join(self.unknown)}.")
        return said


@dataclass(frozen=True, slots=True)
class Calibration:
    """One consumable: the settings' figures, what counts say, and the price of the last purchase."""

    name: str
    unit: str
    settings: Takes
    fitted: Fitted | None
    price: Decimal | None

    @property
    def says(self) -> str:
        """What stands beside a price."""
        if self.fitted is None:
            return "settings"
        months = round(self.fitted.months)
        plural = "month" if months == 1 else "months"
        told = f"{months} {plural}" if months else "less than a month"
        return f"calibrated on {told}, ± {self.fitted.error_share * 100:.0f} %"


@dataclass(frozen=True, slots=True)
class CalibrationAnswer:
    """What counts say of every consumable."""

    currency: str
    rows: Sequence[Calibration]

    def as_json(self) -> dict[str, Any]:
        """`k` for each m² (film: each metre laid), `p` for each hour (film: each run), in ml, g or m."""
        return {"currency": self.currency, "calibration": [self._row(row) for row in self.rows]}

    def _row(self, row: Calibration) -> dict[str, Any]:
        fitted = row.fitted
        return {
            "name": row.name,
            "unit": row.unit,
            "settings": {"k": row.settings.k, "p": row.settings.p},
            "calibrated": {"k": round(fitted.takes.k, 4), "p": round(fitted.takes.p, 4)} if fitted else None,
            "months": round(fitted.months, 2) if fitted else 0,
            "error_share": round(fitted.error_share, 4) if fitted else None,
            "price": f"{row.price:.4f}" if row.price is not None else None,
            "says": row.says,
        }

    def as_lines(self) -> list[str]:
        """A line each, and how to come by more."""
        said = []
        for row in self.rows:
            takes = row.fitted.takes if row.fitted else row.settings
            area, other = ("m laid", "run") if row.unit == "m" else ("m²", "h")
            purge = f" + {takes.p:.2f} {row.unit}/{other}" if row.settings.p else ""
            price = f", {self.currency} {row.price:.2f}/{_LARGE[row.unit][0]}" if row.price else ""
            said.append(f"{row.name}: {takes.k:.2f} {row.unit}/{area}{purge} ({row.says}){price}")
        if any(row.fitted is None for row in self.rows):
            said.append(
                "Count what is there now and again in a month (`filmdocket stock count white 4.2l`), and "
                "book what you buy: two counts tell more than any default."
            )
        return said
