"""The tables of film runs: what lies where on which film, what people wished of tickets, answers on sizes."""

# No `from __future__ import annotations` here: SQLModel reads the annotations at import.
from datetime import datetime

from sqlalchemy import CheckConstraint, Column, UniqueConstraint
from sqlmodel import Field, SQLModel

from tickets.utc import Utc

PLANNED, RELEASED, PRINTED, DROPPED = "planned", "released", "printed", "dropped"


class FilmRun(SQLModel, table=True):
    """One stretch of film. While it is planned, planning again may change it; then it stays as it is."""

    __tablename__ = "film_runs"
    __table_args__ = (
        UniqueConstraint("code"),  # a scanned code means one run
        CheckConstraint("standing IN ('planned', 'released', 'printed', 'dropped')", name="standing"),
        CheckConstraint("length_mm > 0 AND width_mm > 0", name="size"),  # a run of no film is a bug
    )

    id: int | None = Field(default=None, primary_key=True)
    code: str
    standing: str = Field(default=PLANNED, index=True)  # each plan asks for those that are planned
    revision: int = 1  # counts its layouts: a plan that was made from an older one is refused
    film: str
    width_mm: float  # printable, across the roll
    length_mm: float  # its edge margins counted, lead waste not
    way: str  # how it was laid: `tickets.film.model.Way`
    is_straight_cut: bool = True
    inked_share: float = 0.0
    cutting_minutes: float = 0.0
    pinned: bool = False  # a person wants it as it is
    planned_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    released_at: datetime | None = Field(default=None, sa_column=Column(Utc))
    released_by: str = ""
    # The scan by which it counts as printed; taken back, it does not.
    printed_in: int | None = Field(default=None, foreign_key="scans.id")


class FilmSheet(SQLModel, table=True):
    """A run that is a sheet of its length, not a stretch of roll: it stays so long, and has no lead."""

    __tablename__ = "film_sheets"

    run_id: int = Field(primary_key=True, foreign_key="film_runs.id")  # a run is one sheet or none


class FilmPiece(SQLModel, table=True):
    """One piece on a run: the box that it takes as it lies, in mm from the run's left edge and its start."""

    __tablename__ = "film_pieces"
    __table_args__ = (
        UniqueConstraint("run_id", "number"),  # pieces are told by number on the run sheet
        CheckConstraint("width_mm > 0 AND height_mm > 0", name="size"),  # a piece without size is a bug
    )

    id: int | None = Field(default=None, primary_key=True)
    run_id: int = Field(foreign_key="film_runs.id")
    number: int  # from 1, in the order in which they lie along the roll
    ticket_id: int = Field(foreign_key="tickets.id", index=True)  # the spares that a ticket has
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool = False  # by 90° clockwise
    spare: bool = False  # printed over the ticket's quantity
    lost_in: int | None = Field(default=None, foreign_key="scans.id")  # the scan that it was spoiled by
    used_in: int | None = Field(default=None, foreign_key="scans.id")  # a spare: it took a lost one's place


class FilmWish(SQLModel, table=True):
    """What a person wants of a ticket: that it lies in a run, or (no run) that it is in no plan for now."""

    __tablename__ = "film_wishes"

    ticket_id: int = Field(primary_key=True, foreign_key="tickets.id")  # one wish a ticket
    run_id: int | None = Field(default=None, foreign_key="film_runs.id")


class SizeAnswer(SQLModel, table=True):
    """Whether somebody said yes to a smaller size that saves film; not asked again of that art and size."""

    __tablename__ = "size_answers"
    __table_args__ = (
        UniqueConstraint("artwork_sha256", "page", "print_width_mm"),  # one answer for one art at one size
    )

    id: int | None = Field(default=None, primary_key=True)
    artwork_sha256: str
    page: int = 0
    print_width_mm: float  # that was ordered, rounded to 0.01 mm
    is_yes: bool
    width_mm: float  # that was advised
    height_mm: float
    by: str = ""
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
