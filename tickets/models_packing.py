"""The tables of dispatch: what left together, the parcels it left in, their numbers, and the ready shelf."""

# No `from __future__ import annotations` here: SQLModel reads the annotations at import.
from datetime import datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, CheckConstraint, Column, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

from tickets.utc import Utc


class Dispatch(SQLModel, table=True):
    """What left the house of one order at one time; `number` is its packing slip's, never given again."""

    __tablename__ = "dispatches"
    __table_args__ = (
        UniqueConstraint("order_id", "number"),  # packing-2.pdf of an order is one paper
        Index(  # slips to be printed: nearly all are
            "ix_dispatches_unpapered",
            "id",
            sqlite_where=Column("is_papered").is_(False),
            postgresql_where=Column("is_papered").is_(False),
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    order_id: int = Field(foreign_key="orders.id")
    number: int
    # By item number: sent, before, follows, cancelled, ordered; as it was when it left, for the slip says so.
    counts: dict[str, Any] = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))
    collected_by: str = ""
    by: str = ""
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
    open_until: datetime = Field(sa_column=Column(Utc, nullable=False))  # scans till then join it
    voided_at: datetime | None = Field(default=None, sa_column=Column(Utc))
    revision: int = 1  # counts the slips that it has had: a scan joined it, or was taken back
    is_papered: bool = False  # the slip of this revision lies in papers/


class DispatchScan(SQLModel, table=True):
    """Which scans a dispatch was booked with; one that was taken back stays, as history."""

    __tablename__ = "dispatch_scans"

    scan_id: int = Field(foreign_key="scans.id", primary_key=True)
    dispatch_id: int = Field(foreign_key="dispatches.id", index=True)


class Parcel(SQLModel, table=True):
    """One parcel of an order: packed for its next dispatch (`dispatch_id` None), or gone with one."""

    __tablename__ = "parcels"
    __table_args__ = (
        UniqueConstraint("order_id", "number"),  # parcel 2 of an order is one label
        CheckConstraint("weight_g > 0", name="weight"),
        Index(  # a serial shipping container code is given once, ever
            "uq_parcels_sscc",
            "sscc",
            unique=True,
            sqlite_where=Column("sscc") != "",
            postgresql_where=Column("sscc") != "",
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    order_id: int = Field(foreign_key="orders.id")
    dispatch_id: int | None = Field(default=None, foreign_key="dispatches.id", index=True)
    number: int
    weight_g: int | None = None
    consignment: str = ""
    sscc: str = ""
    removed_at: datetime | None = Field(default=None, sa_column=Column(Utc))  # its numbers stay given
    by: str = ""
    at: datetime = Field(sa_column=Column(Utc, nullable=False))


class SsccSerial(SQLModel, table=True):
    """The next serial number behind an extension digit and GS1 company prefix; it only ever rises."""

    __tablename__ = "sscc_serials"

    prefix: str = Field(primary_key=True)
    next_serial: int = Field(sa_column=Column(BigInteger, nullable=False))


class Shelf(SQLModel, table=True):
    """Where what is ready of an order lies, in the shop's own words; the history has where it lay before."""

    __tablename__ = "shelves"

    order_id: int = Field(foreign_key="orders.id", primary_key=True)
    place: str
    by: str = ""
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
