"""What printing costs the shop, in which currency, and the table by which it makes prices of costs."""

from __future__ import annotations

from decimal import Decimal

from pydantic import Field, field_validator, model_validator

from config.currencies import MINOR_DIGITS
from config.section import Section


class Money(Section):
    """The money that the shop counts in."""

    currency: str

    @field_validator("currency")
    @classmethod
    def _is_known(cls, value: str) -> str:
        if value not in MINOR_DIGITS:
            raise ValueError(f"{value!r} is no currency of ISO 4217, such as GBP, EUR or JPY")
        return value


class Cost(Section):
    """What goes into a print and what it costs; shipped figures are a start, counted stock tells better."""

    film_per_metre: Decimal = Field(ge=0)
    gap_mm: float = Field(ge=0)
    lead_mm: float = Field(ge=0)
    run_metres: float = Field(gt=0)
    metres_per_hour: float = Field(gt=0)
    colour_ml_per_m2: float = Field(ge=0)
    coverage: tuple[float, float, float, float]
    colour_purge_ml_per_hour: float = Field(ge=0)
    colour_per_litre: Decimal = Field(ge=0)
    white_ml_per_m2: float = Field(ge=0)
    white_purge_ml_per_hour: float = Field(ge=0)
    white_per_litre: Decimal = Field(ge=0)
    white_on_white: bool
    ink_share: float = Field(gt=0, le=1)
    powder_g_per_m2: float = Field(ge=0)
    powder_per_kg: Decimal = Field(ge=0)
    machine_per_hour: Decimal = Field(ge=0)
    labour_per_hour: Decimal = Field(ge=0)
    run_minutes: float = Field(ge=0)
    cut_seconds: float = Field(ge=0)
    press_seconds: float = Field(ge=0)
    pack_seconds: float = Field(ge=0)

    @field_validator("coverage")
    @classmethod
    def _is_share(cls, value: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
        if any(not 0 <= share <= 1 for share in value):
            raise ValueError("each of the four colours covers between 0 and 1")
        return value


class PriceBreak(Section):
    """From so many pieces of an item on, its price is its cost times so much."""

    pieces: int = Field(ge=1)
    times_cost: Decimal = Field(gt=0)


class Quote(Section):
    """The shop's own table for prices."""

    least_piece: Decimal = Field(ge=0)
    item_set_up: Decimal = Field(ge=0)
    least_order: Decimal = Field(ge=0)
    rush_percent: Decimal = Field(ge=0)
    breaks: tuple[PriceBreak, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _rises(self) -> Quote:
        pieces = [b.pieces for b in self.breaks]
        if pieces[0] != 1 or pieces != sorted(set(pieces)):
            raise ValueError("the breaks begin at 1 piece, and each begins later than the one before")
        return self


class Stock(Section):
    """How stock is watched over."""

    delivery_days: int = Field(ge=0)
    warn_days: int = Field(ge=0)
    look_back_days: int = Field(ge=1)
    count_off_ml: float = Field(gt=0)
    count_off_g: float = Field(gt=0)
    count_off_m: float = Field(gt=0)
