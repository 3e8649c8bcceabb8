"""The tables of stock: what was bought, counted, opened and used up, and what each scan at print took."""

# No `from __future__ import annotations` here: SQLModel reads the annotations at import.
from datetime import datetime

from sqlalchemy import BigInteger, CheckConstraint, Column, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

import tickets.models  # noqa: F401 - names the constraints of every table
from tickets.utc import Utc

NOTE_KINDS = ("bought", "count", "opened", "used-up")
_KINDS = ", ".join(f"'{kind}'" for kind in NOTE_KINDS)


class StockNote(SQLModel, table=True):
    """One thing that somebody wrote down about stock; amounts in ml, g or m, money in minor units."""

    __tablename__ = "stock_notes"
    __table_args__ = (
        CheckConstraint(f"kind IN ({_KINDS})", name="kind"),
        CheckConstraint("amount >= 0", name="amount"),  # what is there or bought is never less than nothing
        Index(None, "consumable", "at"),  # what became of one of them, in order
    )

    id: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
    kind: str
    consumable: str
    amount: float
    price_minor: int | None = Field(default=None, sa_column=Column(BigInteger))
    currency: str = ""
    by: str = ""


class FilmUse(SQLModel, table=True):
    """What one scan at the first station printed on one kind of film; ink is reckoned from it."""

    __tablename__ = "film_uses"
    __table_args__ = (
        UniqueConstraint("scan_id", "film"),  # a scan takes its film once
        Index(None, "at"),  # what was taken lately
    )

    id: int | None = Field(default=None, primary_key=True)
    scan_id: int = Field(foreign_key="scans.id")
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
    film: str
    film_m: float  # as laid, without the lead
    runs: float  # 1 for a whole run; its part for pieces that were printed by their ticket
    hours: float
    cyan_m2: float
    magenta_m2: float
    yellow_m2: float
    black_m2: float
    white_m2: float
    inked_m2: float
    given_back: bool = False  # its scan was undone
