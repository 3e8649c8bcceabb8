"""The whole line at one moment: what waits at each station and since when, what is late, what is asked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import and_, func
from sqlmodel import Session, col, select

from config.settings import Settings
from tickets.lookup.answering import Foresee
from tickets.lookup.answers import utc_text
from tickets.lookup.lists import INTAKE, PRINTER
from tickets.lookup.risk import RisksAnswer, hands_json, orders_at_risk
from tickets.models import Arrival, Event, Heartbeat, Item, Lot, Movement, Order, Scan, Ticket
from tickets.places import ENDS
from tickets.standing import QUERIED
from tickets.store import Store

AGE_BANDS_HOURS = (4, 24, 72)  # today's morning, a day, the weekend: common practice
SOON = timedelta(hours=24)
REFUSED_DAYS = 7
MOST_LISTED = 50


@dataclass(frozen=True, slots=True)
class StationLoad:
    """What waits at one station. `bands` counts pieces by age, the youngest first; `film_m` in metres."""

    name: str
    label: str
    pieces: int
    tickets: int
    film_m: float
    bands: tuple[int, ...]
    oldest_at: datetime | None

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {
            "station": self.name,
            "pieces": self.pieces,
            "tickets": self.tickets,
            "film_m": self.film_m,
            "bands": list(self.bands),
            "oldest": utc_text(self.oldest_at),
        }


@dataclass(frozen=True, slots=True)
class DueAnswer:
    """An order that is not done and late, or due soon."""

    order: str
    customer: str
    due_at: datetime
    rush: bool
    is_late: bool

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {
            "order": self.order,
            "customer": self.customer,
            "due": utc_text(self.due_at),
            "rush": self.rush,
            "late": self.is_late,
        }


@dataclass(frozen=True, slots=True)
class AskedAnswer:
    """A question that a customer has not answered yet."""

    order: str
    customer: str
    item: int
    artwork: str
    since: datetime

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {
            "order": self.order,
            "customer": self.customer,
            "item": self.item,
            "artwork": self.artwork,
            "since": utc_text(self.since),
        }


@dataclass(frozen=True, slots=True)
class RefusedAnswer:
    """A file that could not be taken lately, and why."""

    path: str
    says: str
    at: datetime

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {"path": self.path, "says": self.says, "at": utc_text(self.at)}


@dataclass(frozen=True, slots=True)
class LineAnswer:
    """The line at a glance."""

    at: datetime
    stations: tuple[StationLoad, ...]
    due: tuple[DueAnswer, ...]
    at_risk: RisksAnswer
    asked: tuple[AskedAnswer, ...]
    refused: tuple[RefusedAnswer, ...]
    heartbeat: datetime | None
    heartbeat_says: str
    printer_says: str = ""

    def as_json(self) -> dict[str, Any]:
        """The document of `/api/line`."""
        return {
            "stations": [station.as_json() for station in self.stations],
            "due": [order.as_json() for order in self.due],
            "at_risk": [order.as_json() for order in self.at_risk.orders],
            "at_risk_in_all": self.at_risk.count,
            "hands": hands_json(self.at_risk.hands),
            "asked": [question.as_json() for question in self.asked],
            "refused": [file.as_json() for file in self.refused],
            "heartbeat": utc_text(self.heartbeat),
            "heartbeat_says": self.heartbeat_says,
            "printer_says": self.printer_says,
        }


def line_answer(
    store: Store, settings: Settings, now: datetime | None = None, foresee: Foresee | None = None
) -> LineAnswer:
    """The whole line. `now` None: the clock. `foresee` tells which orders may be late."""
    now = now or datetime.now(UTC)
    at_risk = orders_at_risk(store, settings, now, foresee) if foresee else RisksAnswer((), 0)
    with store.reading() as session:
        lots = _lots(session)
        beat = session.get(Heartbeat, INTAKE)
        return LineAnswer(
            at=now,
            stations=tuple(_load(s.name, s.label, lots, settings, now) for s in settings.station),
            due=tuple(_due(session, now)),
            at_risk=at_risk,
            asked=tuple(_asked(session)),
            refused=tuple(_refused(session, now)),
            heartbeat=beat.at if beat else None,
            heartbeat_says=beat.says if beat else "",
            printer_says=_printer_says(session, settings),
        )


def pulse(store: Store) -> str:
    """A word that changes whenever something happened that a page may show."""
    with store.reading() as session:
        last = session.exec(select(func.max(Event.id))).one()
        changed = session.exec(select(func.max(Arrival.changed_at))).one()
        beat, printer = session.get(Heartbeat, INTAKE), session.get(Heartbeat, PRINTER)
    alive = beat.at.replace(second=0, microsecond=0) if beat else ""
    return f"{last} {changed} {alive} {printer.at if printer else ''}"


def _printer_says(session: Session, settings: Settings) -> str:
    """Why papers wait for the printer; "" when none does, or none is set."""
    beat = session.get(Heartbeat, PRINTER) if settings.papers.print_command else None
    return beat.says if beat else ""


def waiting_since(store: Store, station: str, codes: Sequence[str]) -> dict[str, datetime]:
    """Since when the pieces of each of these tickets wait at a station, by code."""
    asked = (
        select(Ticket.code, func.max(col(Scan.at)))
        .select_from(Lot)
        .join(Ticket, col(Ticket.id) == col(Lot.ticket_id))
        .join(
            Movement,
            and_(col(Movement.ticket_id) == col(Lot.ticket_id), col(Movement.to_place) == col(Lot.place)),
        )
        .join(Scan, col(Scan.id) == col(Movement.scan_id))
        .where(col(Lot.place) == station, col(Ticket.code).in_(codes))
        .group_by(col(Ticket.code))
    )
    with store.reading() as session:
        return {code: _aware(at) for code, at in session.exec(asked)}


@dataclass(frozen=True, slots=True)
class _Waiting:
    place: str
    pieces: int
    since: datetime
    width_mm: float
    height_mm: float


def _lots(session: Session) -> list[_Waiting]:
    """Every lot in the house, with the time of the last move that came to its place."""
    came: list[Any] = [
        col(Movement.ticket_id).label("ticket_id"),
        col(Movement.to_place).label("place"),
        func.max(col(Scan.at)).label("at"),
    ]
    last = (
        select(*came)
        .join(Scan, col(Scan.id) == col(Movement.scan_id))
        .where(col(Movement.ticket_id).in_(select(Lot.ticket_id).where(col(Lot.place).not_in(ENDS))))
        .group_by(col(Movement.ticket_id), col(Movement.to_place))
        .subquery()
    )
    columns: list[Any] = [
        col(Lot.place),
        func.sum(col(Lot.count)),
        func.max(last.c.at),
        col(Item.print_width_mm),
        col(Item.print_height_mm),
    ]
    asked: Any = (
        select(*columns)
        .select_from(Lot)
        .join(last, and_(last.c.ticket_id == col(Lot.ticket_id), last.c.place == col(Lot.place)))
        .join(Ticket, col(Ticket.id) == col(Lot.ticket_id))
        .join(Item, col(Item.id) == col(Ticket.item_id))
        .where(col(Lot.place).not_in(ENDS))
        .group_by(col(Lot.ticket_id), col(Lot.place), col(Item.print_width_mm), col(Item.print_height_mm))
    )
    return [
        _Waiting(place, int(pieces), _aware(since), width or 0.0, height or 0.0)
        for place, pieces, since, width, height in session.exec(asked)
    ]


def _load(name: str, label: str, lots: Sequence[_Waiting], settings: Settings, now: datetime) -> StationLoad:
    here = [lot for lot in lots if lot.place == name]
    bands = [0] * (len(AGE_BANDS_HOURS) + 1)
    for lot in here:
        hours = (now - lot.since).total_seconds() / 3600
        bands[sum(hours >= edge for edge in AGE_BANDS_HOURS)] += lot.pieces
    return StationLoad(
        name=name,
        label=label,
        pieces=sum(lot.pieces for lot in here),
        tickets=len(here),
        film_m=round(_film_mm(here, settings.film.printable_mm) / 1000, 1),
        bands=tuple(bands),
        oldest_at=min((lot.since for lot in here), default=None),
    )


def _film_mm(lots: Iterable[_Waiting], printable_mm: float) -> float:
    """Film that the pieces take when the same art is laid in rows: an estimate from below, without gaps."""
    total = 0.0
    for lot in lots:
        across = max(1, int(printable_mm // lot.width_mm)) if lot.width_mm else 1
        total += -(-lot.pieces // across) * lot.height_mm
    return total


def _due(session: Session, now: datetime) -> Iterable[DueAnswer]:
    asked = (
        select(Order)
        .where(col(Order.closed_at).is_(None), col(Order.due_at).is_not(None), col(Order.due_at) < now + SOON)
        .order_by(col(Order.due_at), col(Order.id))
        .limit(MOST_LISTED)
    )
    for order in session.exec(asked):
        assert order.due_at is not None  # asked for
        yield DueAnswer(order.number, order.customer_name, order.due_at, order.rush, order.due_at < now)


def _asked(session: Session) -> Iterable[AskedAnswer]:
    """Open questions, the oldest first: each stands since its item was last judged."""
    judged = (
        select(col(Event.item_id).label("item_id"), func.max(col(Event.at)).label("at"))
        .where(col(Event.kind) == "judged", col(Event.item_id).in_(_queried_items()))
        .group_by(col(Event.item_id))
        .subquery()
    )
    asked: Any = (
        select(Item, Order, judged.c.at)
        .join(Order, col(Order.id) == col(Item.order_id))
        .join(judged, judged.c.item_id == col(Item.id), isouter=True)
        .where(col(Item.standing) == QUERIED, col(Order.closed_at).is_(None))
        .order_by(judged.c.at, col(Item.id))
        .limit(MOST_LISTED)
    )
    for item, order, at in session.exec(asked):
        since = _aware(at) if at else order.taken_at
        yield AskedAnswer(order.number, order.customer_name, item.number, item.artwork, since)


def _queried_items() -> Any:
    return select(Item.id).where(col(Item.standing) == QUERIED)


def _refused(session: Session, now: datetime) -> Iterable[RefusedAnswer]:
    asked = (
        select(Arrival)
        .where(Arrival.standing == "refused", col(Arrival.changed_at) >= now - timedelta(days=REFUSED_DAYS))
        .order_by(col(Arrival.changed_at).desc())
        .limit(MOST_LISTED)
    )
    for arrival in session.exec(asked):
        yield RefusedAnswer(arrival.path, arrival.says, arrival.changed_at)


def _aware(at: datetime | str) -> datetime:
    """An aggregate's time: some databases hand it back as text or without its zone."""
    read = datetime.fromisoformat(at) if isinstance(at, str) else at
    return read.replace(tzinfo=UTC) if read.tzinfo is None else read.astimezone(UTC)
