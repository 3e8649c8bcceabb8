"""The tables of the books, each index and constraint with the reason that it is there."""

# No `from __future__ import annotations` here: SQLModel reads the annotations at import.
from datetime import datetime
from typing import Any

from sqlalchemy import JSON, CheckConstraint, Column, Index, LargeBinary, MetaData, UniqueConstraint
from sqlmodel import Field, SQLModel

from tickets.places import CANCELLED as CANCELLED
from tickets.places import DISPATCHED as DISPATCHED
from tickets.places import ENDS as ENDS
from tickets.places import NEW as NEW
from tickets.places import SPOILED as SPOILED
from tickets.utc import Utc as Utc

# Named constraints, so that migrations can name them on every database.
SQLModel.metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

ITEM_STANDINGS = ("unchecked", "queried", "accepted", "refused")
ARRIVAL_STANDINGS = ("settling", "waiting", "taken", "duplicate", "conflict", "refused", "ignored")
DEVICE_ROLES = ("station", "desk", "owner")
SCAN_KINDS = ("issue", "scan", "undo", "cancel", "run")


def _one_of(column: str, values: tuple[str, ...], name: str) -> CheckConstraint:
    listed = ", ".join(f"'{v}'" for v in values)
    return CheckConstraint(f"{column} IN ({listed})", name=name)


class Order(SQLModel, table=True):
    """One order as a customer placed it; `document` is the order file as it was read, canonical JSON."""

    __tablename__ = "orders"
    __table_args__ = (
        UniqueConstraint("number"),  # an order is taken exactly once
        Index(None, "due_at"),  # the order book and the line sort by it
    )

    id: int | None = Field(default=None, primary_key=True)
    number: str
    customer_name: str
    customer_email: str = ""
    customer_phone: str = ""
    phone_digits: str = Field(default="", index=True)  # callers give half a number
    purchase_order: str = ""
    due: str = ""  # as the order file wrote it: a plain day or an RFC 3339 time
    due_at: datetime | None = Field(default=None, sa_column=Column(Utc))
    service: str = "pressed"
    allow_part_dispatch: bool = False
    rush: bool = False
    held_why: str | None = None  # None: not held
    document: str
    document_sha256: str  # same number, same content: a duplicate; other content: a conflict
    source_folder: str = ""  # the inbox folder it came from ("" = the inbox itself)
    search_text: str = ""  # folded words that a caller may say
    taken_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    closed_at: datetime | None = Field(default=None, sa_column=Column(Utc, index=True))  # nothing more to do


class Item(SQLModel, table=True):
    """One artwork at one print size in one quantity; its checking and its question are states of it."""

    __tablename__ = "items"
    __table_args__ = (
        UniqueConstraint("order_id", "number"),  # item 2 of an order is one row
        CheckConstraint("quantity > 0", name="quantity"),  # an item of nothing is refused before
        _one_of("standing", ITEM_STANDINGS, "standing"),
        Index(None, "standing"),  # what is to be checked, and which open questions a new file may answer
    )

    id: int | None = Field(default=None, primary_key=True)
    order_id: int = Field(foreign_key="orders.id")
    number: int  # 1-based, as in the order file
    artwork: str  # the customer's file name
    artwork_sha256: str = Field(index=True)  # which items use this original
    page: int | None = None  # of a file with several pages; None: the order names none
    ordered_width_mm: float | None = None
    ordered_height_mm: float | None = None
    print_width_mm: float | None = None  # known once the artwork's shape is
    print_height_mm: float | None = None
    quantity: int
    service: str  # "pressed" or "transfers"
    placement: str = ""
    garment: str = ""
    garment_colour: str = ""  # '#rrggbb' or ''
    fabric: str = ""
    sizes: dict[str, int] = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))
    garment_set: str = ""
    film: str = ""
    note: str = ""
    mirrored: bool = False
    may_turn: bool = True
    standing: str = "unchecked"
    revision: int = 1  # counts the artworks that this item has had
    reported_revision: int = 0  # the revision that the customer's report was written for
    order_queries: list[Any] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    findings: list[Any] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    measures: dict[str, Any] = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))
    refused_slug: str = ""
    released_by: str = ""
    released_note: str = ""


class Revision(SQLModel, table=True):
    """Each artwork that an item has had, and what was found on it: the history behind a corrected file."""

    __tablename__ = "revisions"
    __table_args__ = (UniqueConstraint("item_id", "number"),)

    id: int | None = Field(default=None, primary_key=True)
    item_id: int = Field(foreign_key="items.id")
    number: int
    artwork: str
    artwork_sha256: str
    verdict: str = ""  # "" until it was checked
    findings: list[Any] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    measures: dict[str, Any] = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))
    at: datetime = Field(sa_column=Column(Utc, nullable=False))


class RememberedRelease(SQLModel, table=True):
    """A query that was released and need not be asked again of the same bytes, size and garment colour."""

    __tablename__ = "remembered_releases"
    __table_args__ = (
        UniqueConstraint(
            "artwork_sha256",
            "page",
            "print_width_mm",
            "garment_colour",
            name="uq_remembered_releases_same_art",
        ),  # one answer for one art
    )

    id: int | None = Field(default=None, primary_key=True)
    artwork_sha256: str
    page: int = 0
    print_width_mm: float  # rounded to 0.01 mm
    garment_colour: str = ""
    # The checks whose queries were answered: a new kind of query is asked all the same.
    checks: list[Any] = Field(default_factory=list, sa_column=Column(JSON, nullable=False))
    released_by: str
    note: str = ""
    at: datetime = Field(sa_column=Column(Utc, nullable=False))


class Ticket(SQLModel, table=True):
    """One job ticket: the pieces of one item that travel together, the first time or as a reprint."""

    __tablename__ = "tickets"
    __table_args__ = (
        UniqueConstraint("code"),  # a scanned code means one ticket
        CheckConstraint("quantity > 0", name="quantity"),
        # An item has one first ticket; everything later is a reprint of one. Two daemons cannot issue two.
        Index(
            "uq_tickets_first_of_item",
            "item_id",
            unique=True,
            sqlite_where=Column("reprint_of_id").is_(None),
            postgresql_where=Column("reprint_of_id").is_(None),
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    code: str
    item_id: int = Field(foreign_key="items.id", index=True)
    reprint_of_id: int | None = Field(default=None, foreign_key="tickets.id", index=True)
    quantity: int
    held_why: str | None = None
    rush: bool = False
    withdrawn: bool = False  # a reprint whose spoilage was taken back: history without pieces
    papered_revision: int = 0  # the item revision that the paper was rendered for; 0: none yet
    issued_at: datetime = Field(sa_column=Column(Utc, nullable=False))


class Lot(SQLModel, table=True):
    """So many pieces of one ticket at one place, in one run or none; a ticket's lots hold all its pieces."""

    __tablename__ = "lots"
    __table_args__ = (
        UniqueConstraint("ticket_id", "run", "place"),  # one row a place: moves add to it
        CheckConstraint("count > 0", name="count"),  # an emptied lot is deleted, a negative one is a bug
        Index(None, "place", "ticket_id"),  # what waits at a station
        Index(  # what is in a film run: most pieces are in none
            "ix_lots_run",
            "run",
            sqlite_where=Column("run") != "",
            postgresql_where=Column("run") != "",
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    ticket_id: int = Field(foreign_key="tickets.id")
    run: str = ""  # code of the film run, "" when none
    place: str  # a station, or dispatched, spoiled, cancelled
    count: int


class Scan(SQLModel, table=True):
    """One act at a station or the desk that moved pieces; its movements are the whole of what it did."""

    __tablename__ = "scans"
    __table_args__ = (
        _one_of("kind", SCAN_KINDS, "kind"),
        UniqueConstraint("undoes_id"),  # a scan is taken back once
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str
    code: str  # the ticket, run or order that was scanned
    # None: a film run, which may hold pieces of several orders.
    order_id: int | None = Field(default=None, foreign_key="orders.id", index=True)
    station: str = ""
    by: str = ""
    why: str = ""
    undoes_id: int | None = Field(default=None, foreign_key="scans.id")
    at: datetime = Field(sa_column=Column(Utc, nullable=False, index=True))
    device_at: datetime | None = Field(default=None, sa_column=Column(Utc))
    device_sequence: int | None = None


class Movement(SQLModel, table=True):
    """So many pieces of one ticket from one lot to another, by one scan; each is one step of the line."""

    __tablename__ = "movements"
    __table_args__ = (
        CheckConstraint("count > 0", name="count"),
        # Laying pieces into a film run changes the run alone; everything else changes the place.
        CheckConstraint("from_place <> to_place OR from_run <> to_run", name="moves"),
    )

    id: int | None = Field(default=None, primary_key=True)
    scan_id: int = Field(foreign_key="scans.id", index=True)
    ticket_id: int = Field(foreign_key="tickets.id", index=True)
    from_place: str
    from_run: str = ""
    to_place: str
    to_run: str = ""
    count: int
    inferred: bool = False  # booked by catch-up, not seen


class ScanKey(SQLModel, table=True):
    """An idempotency key: the same key and question gets the same answer, another question is refused."""

    __tablename__ = "scan_keys"

    key: str = Field(primary_key=True)
    asked_sha256: str
    answer: dict[str, Any] = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))
    at: datetime = Field(sa_column=Column(Utc, nullable=False))


class Event(SQLModel, table=True):
    """What happened, written with the state that it changed; the state can be rebuilt from these."""

    __tablename__ = "events"
    __table_args__ = (Index(None, "order_id", "id"),)  # the history of an order, in order

    id: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
    kind: str
    order_id: int | None = Field(default=None, foreign_key="orders.id")
    item_id: int | None = Field(default=None, foreign_key="items.id")
    ticket_id: int | None = Field(default=None, foreign_key="tickets.id", index=True)
    by: str = ""
    payload: dict[str, Any] = Field(
        default_factory=dict, sa_column=Column(JSON, nullable=False)
    )  # {"v": 1, …}


class SearchWord(SQLModel, table=True):
    """One distinct word of names, e-mail addresses or phone numbers: what typing slips are mended to."""

    __tablename__ = "search_words"
    __table_args__ = (UniqueConstraint("word"),)  # near words are tried by the hundred

    id: int | None = Field(default=None, primary_key=True)
    word: str


class Original(SQLModel, table=True):
    """One file's bytes that were taken in, once, under their SHA-256."""

    __tablename__ = "originals"

    sha256: str = Field(primary_key=True)
    size: int
    stored_at: datetime = Field(sa_column=Column(Utc, nullable=False))


class Arrival(SQLModel, table=True):
    """One file as it lay in the inbox, and what was made of it."""

    __tablename__ = "arrivals"
    __table_args__ = (
        _one_of("standing", ARRIVAL_STANDINGS, "standing"),
        # One open row a path: a path is settling or waiting once, however often it is looked at.
        Index(
            "uq_arrivals_open_path",
            "path_key",
            unique=True,
            sqlite_where=Column("is_open").is_(True),
            postgresql_where=Column("is_open").is_(True),
        ),
        Index(None, "path_key"),  # the latest word on a path
        # The newest original of that name. Folders and whole paths may be longer than PostgreSQL can index.
        Index(None, "name_folded", "standing"),
    )

    id: int | None = Field(default=None, primary_key=True)
    path_bytes: bytes = Field(sa_column=Column(LargeBinary, nullable=False))  # names need not be text
    path_key: str  # SHA-256 of them, to find them by
    path: str  # shown: undecodable bytes escaped
    folder: str = ""  # the folder in the inbox that it lay in
    name_folded: str = ""  # NFC, case folded: how an order names it
    size: int = 0
    sha256: str = Field(default="", index=True)
    fingerprint: str = ""  # of the file as it was judged; a changed one is judged again
    standing: str
    is_open: bool = True  # still lies in the inbox to be dealt with
    is_cleared: bool = False  # its bytes have left the inbox (or are meant to stay there)
    order_number: str = ""
    slug: str = ""
    says: str = ""
    seen_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    changed_at: datetime = Field(sa_column=Column(Utc, nullable=False, index=True))


class Heartbeat(SQLModel, table=True):
    """When each part of the shop's machinery was last alive, and what it was doing."""

    __tablename__ = "heartbeats"

    name: str = Field(primary_key=True)  # "intake"
    at: datetime = Field(sa_column=Column(Utc, nullable=False))
    says: str = ""
    holder: str = ""  # host and process


class Device(SQLModel, table=True):
    """A phone, kiosk or desk computer that was let in; of its cookie only the hash is kept."""

    __tablename__ = "devices"
    __table_args__ = (
        _one_of("role", DEVICE_ROLES, "role"),
        UniqueConstraint("token_sha256"),  # every page view looks one up by it
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str
    role: str
    token_sha256: str
    paired_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    seen_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    revoked_at: datetime | None = Field(default=None, sa_column=Column(Utc))


class Pairing(SQLModel, table=True):
    """A code that lets one device in, once and for a short while; only its hash is kept."""

    __tablename__ = "pairings"
    __table_args__ = (
        _one_of("role", DEVICE_ROLES, "role"),
        UniqueConstraint("code_sha256"),  # a code is looked up by it, and taken once
    )

    id: int | None = Field(default=None, primary_key=True)
    code_sha256: str
    role: str
    name: str = ""
    expires_at: datetime = Field(sa_column=Column(Utc, nullable=False))
    used_at: datetime | None = Field(default=None, sa_column=Column(Utc))


import tickets.models_film  # noqa: E402 - tables of their own, in the same metadata
import tickets.models_packing  # noqa: E402 - likewise
import tickets.models_people  # noqa: E402 - likewise
import tickets.models_stock  # noqa: E402 - likewise
import tickets.models_telling  # noqa: E402, F401 - likewise
