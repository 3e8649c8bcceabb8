"""The table of what customers are told: due, written and sent, once for each thing that happened."""

# No `from __future__ import annotations` here: SQLModel reads the annotations at import.
from datetime import datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, Column, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

from tickets.utc import Utc

TELLING_KINDS = ("received", "query", "released", "ready", "dispatched", "late")
# unsure: handed to the mail server, which has not answered; it is never sent again by itself.
TELLING_STANDINGS = ("due", "written", "unsure", "sent", "failed", "withdrawn")


def _one_of(column: str, values: tuple[str, ...]) -> CheckConstraint:
    return CheckConstraint(f"{column} IN ({', '.join(repr(v) for v in values)})", name=column)


class Telling(SQLModel, table=True):
    """One message to a customer; `about` says which of the things of its kind that happened to the order."""

    __tablename__ = "tellings"
    __table_args__ = (
        UniqueConstraint("order_id", "kind", "about"),  # what happened is told once
        _one_of("kind", TELLING_KINDS),
        _one_of("standing", TELLING_STANDINGS),
        Index(None, "standing", "due_at"),  # what is to be written or sent now
    )

    id: int | None = Field(default=None, primary_key=True)
    order_id: int = Field(foreign_key="orders.id")
    kind: str
    about: str = ""
    standing: str = "due"
    facts: dict[str, Any] = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
    due_at: datetime = Field(sa_column=Column(Utc, nullable=False))  # not before: a slip may be undone
    file: str = ""  # its name in the order's outbox, once it is written
    address: str = ""  # "": the order names none that a mail program takes
    written_at: datetime | None = Field(default=None, sa_column=Column(Utc))
    tries: int = 0
    next_try_at: datetime | None = Field(default=None, sa_column=Column(Utc))
    sent_at: datetime | None = Field(default=None, sa_column=Column(Utc))
    says: str = ""  # what became of the last try
