"""The order book, the inbox, and what waits at a station."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, tzinfo
from typing import Any

from sqlalchemy import func, or_
from sqlmodel import col, select

from config.settings import Settings
from tickets.lookup.answering import Answering, Foresee
from tickets.lookup.answers import OrderAnswer, utc_text
from tickets.lookup.loading import read_orders
from tickets.models import Arrival, Heartbeat, Item, Lot, Order, Ticket
from tickets.problems import BadInput
from tickets.route import Route
from tickets.standing import ACCEPTED, Standing
from tickets.store import Store

INTAKE = "intake"  # the heartbeat of the daemon that takes files in
PRINTER = "printer"  # what it has to say of the printer: "" while that prints
_NEVER_CLOSED = (Standing.QUERIED, Standing.HELD, Standing.IN_WORK, Standing.READY)


def list_orders(
    store: Store,
    settings: Settings,
    standing: str | None = None,
    since: date | None = None,
    now: datetime | None = None,
    *,
    foresee: Foresee | None = None,
) -> list[OrderAnswer]:
    """The order book, newest first: all of it, or what stands so, or was taken on or after a day in the shop.

    Raises BadInput `no-such-standing`.
    """
    return list(read_order_book(store, settings, standing, since, now, foresee=foresee))


def read_order_book(
    store: Store,
    settings: Settings,
    standing: str | None = None,
    since: date | None = None,
    now: datetime | None = None,
    *,
    foresee: Foresee | None = None,
) -> Iterator[OrderAnswer]:
    """As `list_orders`, one after another, so that a long book needs little memory."""
    wanted = _standing(standing) if standing is not None else None
    answering = replace(Answering.of(settings, now or datetime.now(UTC), foresee), tells_help=False)
    asked = select(Order.id).order_by(col(Order.taken_at).desc(), col(Order.id).desc())
    if since is not None:
        asked = asked.where(col(Order.taken_at) >= datetime.combine(since, time(), answering.zone))
    if wanted in _NEVER_CLOSED:
        asked = asked.where(col(Order.closed_at).is_(None))
    with store.reading() as session:
        ids = [order_id for order_id in session.exec(asked) if order_id is not None]
        for order in read_orders(session.connection(), ids):
            if wanted is None or order.standing is wanted:
                yield answering.order(order)


def _standing(written: str) -> Standing:
    told = " ".join(written.replace("-", " ").casefold().split())
    try:
        return Standing(told)
    except ValueError:
        near = difflib.get_close_matches(told, list(Standing), 1, 0.5)
        raise BadInput(
            "no-such-standing",
            f"No order stands as {written!r}." + (f" Did you mean {near[0]}?" if near else ""),
            f"Ask for one of: {', '.join(Standing)}.",
        ) from None


@dataclass(frozen=True, slots=True)
class FileAnswer:
    """One file as it lay in the inbox, and what was made of it."""

    path: str
    sha256: str
    standing: str
    order: str
    slug: str
    says: str
    size: int
    seen_at: datetime
    changed_at: datetime

    def as_json(self) -> dict[str, Any]:
        """The contract's keys, its size in bytes, and when it was first seen and last judged."""
        return {
            "path": self.path,
            "sha256": self.sha256 or None,
            "standing": self.standing,
            "order": self.order or None,
            "slug": self.slug or None,
            "says": self.says,
            "size": self.size,
            "seen": utc_text(self.seen_at),
            "changed": utc_text(self.changed_at),
        }


@dataclass(frozen=True, slots=True)
class InboxAnswer:
    """The files of the inbox, the latest first, and when the daemon was last alive."""

    heartbeat: datetime | None
    heartbeat_says: str
    files: tuple[FileAnswer, ...]

    def as_json(self) -> dict[str, Any]:
        """The document that `inbox --json` prints."""
        return {
            "heartbeat": utc_text(self.heartbeat),
            "heartbeat_says": self.heartbeat_says,
            "files": [file.as_json() for file in self.files],
        }

    def as_lines(self, zone: tzinfo = UTC) -> list[str]:
        """The same for people, with times on that clock."""
        if self.heartbeat is None:
            lines = ["Intake has never run here. Start it with `filmdocket watch`."]
        else:
            seen = f"{self.heartbeat.astimezone(zone):%Y-%m-%d %H:%M:%S %Z}"
            said = f": {self.heartbeat_says}" if self.heartbeat_says else ""
            lines = [f"Intake was last seen at {seen}{said}"]
        return [*lines, *(f"{f.standing:<9}  {f.path}  {f.says}" for f in self.files)]


def list_arrivals(store: Store, since: datetime | None) -> InboxAnswer:
    """What was dropped and what was made of it since a time (None: ever); what still lies there always."""
    asked = select(Arrival).order_by(col(Arrival.changed_at).desc(), col(Arrival.id).desc())
    if since is not None:
        asked = asked.where(or_(col(Arrival.is_open), col(Arrival.changed_at) >= since))
    with store.reading() as session:
        beat = session.get(Heartbeat, INTAKE)
        files = tuple(_file(arrival) for arrival in session.exec(asked))
    return InboxAnswer(beat.at if beat else None, beat.says if beat else "", files)


def _file(arrival: Arrival) -> FileAnswer:
    return FileAnswer(
        path=arrival.path,
        sha256=arrival.sha256,
        standing=arrival.standing,
        order=arrival.order_number,
        slug=arrival.slug,
        says=arrival.says,
        size=arrival.size,
        seen_at=arrival.seen_at,
        changed_at=arrival.changed_at,
    )


@dataclass(frozen=True, slots=True)
class WaitingAnswer:
    """Pieces of one ticket that wait at a station; `blocked` says why they can't be worked on, or ""."""

    code: str
    order: str
    customer: str
    due: str
    due_at: datetime | None
    rush: bool
    artwork: str
    garment: str
    placement: str
    pieces: int
    quantity: int
    is_reprint: bool
    blocked: str

    def as_json(self) -> dict[str, Any]:
        """Plain values for pages and devices."""
        return {
            "code": self.code,
            "order": self.order,
            "customer": self.customer,
            "due": self.due or None,
            "rush": self.rush,
            "artwork": self.artwork,
            "garment": self.garment,
            "placement": self.placement,
            "pieces": self.pieces,
            "quantity": self.quantity,
            "is_reprint": self.is_reprint,
            "blocked": self.blocked or None,
        }


def waiting_at(store: Store, settings: Settings, station: str) -> list[WaitingAnswer]:
    """What waits at a station, rush first, then the soonest due. Raises BadInput `no-such-station`."""
    Route.of(settings).require(station)
    # Columns alone: whole orders carry their document, and a busy station shows a thousand of them.
    asked: Any = (
        select(*_WAITING)
        .select_from(Lot)
        .join(Ticket, col(Ticket.id) == col(Lot.ticket_id))
        .join(Item, col(Item.id) == col(Ticket.item_id))
        .join(Order, col(Order.id) == col(Item.order_id))
        .where(col(Lot.place) == station)
        .group_by(col(Ticket.id), col(Item.id), col(Order.id))
    )
    with store.reading() as session:
        waiting = [_waiting(row) for row in session.exec(asked)]
    never = datetime.max.replace(tzinfo=UTC)
    return sorted(waiting, key=lambda w: (not w.rush, w.due_at or never, w.order, w.code))


_WAITING: tuple[Any, ...] = (
    col(Ticket.code),
    col(Order.number),
    col(Order.customer_name),
    col(Order.due),
    col(Order.due_at),
    (col(Order.rush) | col(Ticket.rush)).label("rush"),
    col(Item.artwork),
    col(Item.garment),
    col(Item.placement),
    func.sum(col(Lot.count)).label("pieces"),
    col(Ticket.quantity),
    col(Ticket.reprint_of_id).is_not(None).label("is_reprint"),
    col(Item.standing),
    func.coalesce(Ticket.held_why, Order.held_why).label("held_why"),
)


def _waiting(row: Any) -> WaitingAnswer:
    *shown, standing, held_why = row
    return WaitingAnswer(*(*shown, _blocked(standing, held_why)))


def _blocked(standing: str, held_why: str | None) -> str:
    if standing != ACCEPTED:
        return standing
    return "" if held_why is None else f"held: {held_why}".rstrip(": ")
