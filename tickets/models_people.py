"""The tables of people: who may be named on scans, who is signed in where, and customers' links."""

# No `from __future__ import annotations` here: SQLModel reads the annotations at import.
from datetime import datetime

from sqlalchemy import CheckConstraint, Column, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

import tickets.models  # noqa: F401 - names the constraints of every table
from tickets.utc import Utc


class Person(SQLModel, table=True):
    """Somebody who works here; of the PIN only a slow hash (argon2) is kept."""

    __tablename__ = "people"
    __table_args__ = (
        # Two people of one name could not be told apart in the history; one who left may come back.
        Index(
            "uq_people_name_key_here",
            "name_key",
            unique=True,
            sqlite_where=Column("removed_at").is_(None),
            postgresql_where=Column("removed_at").is_(None),
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str
    name_key: str  # the name with case and accents folded away
    pin_hash: str = ""  # "": signs in by name alone
    added_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    removed_at: datetime | None = Field(default=None, sa_column=Column(Utc))


class SignIn(SQLModel, table=True):
    """A person at a device, from when to when; kept, for scans that were made meanwhile arrive later."""

    __tablename__ = "sign_ins"
    __table_args__ = (
        # One person a device at a time: whose name a scan carries is never in doubt.
        Index(
            "uq_sign_ins_device_id_open",
            "device_id",
            unique=True,
            sqlite_where=Column("ended_at").is_(None),
            postgresql_where=Column("ended_at").is_(None),
        ),
        Index(None, "device_id", "name_key"),  # whether somebody was ever signed in at a device
    )

    id: int | None = Field(default=None, primary_key=True)
    device_id: int = Field(foreign_key="devices.id")
    name: str  # as it was then; a name of the settings has no row of its own
    name_key: str
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
    seen_at: datetime = Field(sa_column=Column(Utc, nullable=False))  # something was done there last
    ended_at: datetime | None = Field(default=None, sa_column=Column(Utc))


class WrongPin(SQLModel, table=True):
    """How many PINs of a person were tried at a device since the last right one; a restart forgives none."""

    __tablename__ = "wrong_pins"
    __table_args__ = (CheckConstraint("tries > 0", name="tries"),)  # without wrong ones there is no row

    person_id: int = Field(foreign_key="people.id", primary_key=True)
    device_id: int = Field(foreign_key="devices.id", primary_key=True)
    tries: int
    last_at: datetime = Field(sa_column=Column(Utc, nullable=False))


class CustomerLink(SQLModel, table=True):
    """The address under which a customer sees one order's progress.

    The word itself is kept, so that it can be shown and mailed again: whoever reads the books reads the whole
    order beside it, and the link opens less. It is looked up by its hash, so that the time that takes tells
    nothing about the word.
    """

    __tablename__ = "customer_links"
    __table_args__ = (
        UniqueConstraint("word_sha256"),  # every view looks one up by it
        # One link an order that works: revoking it leaves none.
        Index(
            "uq_customer_links_order_id_open",
            "order_id",
            unique=True,
            sqlite_where=Column("revoked_at").is_(None),
            postgresql_where=Column("revoked_at").is_(None),
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    order_id: int = Field(foreign_key="orders.id")
    word: str
    word_sha256: str
    made_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    revoked_at: datetime | None = Field(default=None, sa_column=Column(Utc))
