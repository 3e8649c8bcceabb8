"""The newest forecast on the shelf: made by one process, told by the others, with its age.

Only a forecast that took long to make is put there. It tells of which books it was made, so that none is
told for other books: a restored backup, another shop, other hours.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Protocol

from sqlalchemy import text

from config.settings import Settings
from tickets.forecast.changes import Change, Hands, Help
from tickets.forecast.expected import Expected
from tickets.store import Store
from tickets.utc import Utc

FORMAT = 1
_LAST_EVENT = text("SELECT id, at FROM events WHERE id = (SELECT max(id) FROM events)").columns(at=Utc)
_EVENT = text("SELECT at FROM events WHERE id = :id").columns(at=Utc)
_TOUCHED = text(
    "SELECT DISTINCT o.number FROM events AS e JOIN orders AS o ON o.id = e.order_id WHERE e.id > :id"
)
_LOTS = text(
    """
    SELECT count(*) FROM (
        SELECT 1 FROM lots AS l JOIN tickets AS t ON t.id = l.ticket_id JOIN items AS i ON i.id = t.item_id
            JOIN orders AS o ON o.id = i.order_id
        WHERE o.closed_at IS NULL LIMIT :least
    ) AS waiting
    """
)


class Shelf(Protocol):
    """Where one forecast can be put for the processes that ask next; whoever has folders makes one."""

    def read(self) -> bytes:
        """What was put there last; b"" when nothing was, or it cannot be read."""
        ...

    def write(self, content: bytes) -> None:
        """Put it there in place of what was. What cannot be written is no matter: it is made again."""
        ...


@dataclass(frozen=True, slots=True)
class BooksMark:
    """Which books, and how far: their last event. Another history has another time at that number."""

    event: int
    at: str  # with microseconds


@dataclass(frozen=True, slots=True)
class Shelved:
    """A forecast as plain values. `settings`: `forecast_settings` of the shop; `helps`: all `helped`."""

    books: BooksMark
    settings: str
    at: datetime
    expected: Mapping[str, Expected]
    at_risk: Mapping[str, datetime]
    helped: tuple[str, ...]
    helps: Mapping[str, Help | None]
    hands: Hands | None = None

    def help_for(self, order: str) -> Help | None:
        """What helps an order at risk most; None when nothing does."""
        return self.helps.get(order)

    known = help_for

    def is_known(self, order: str) -> bool:
        """Whether it was looked at."""
        return order in self.helps

    def look_at_all(self) -> None:
        """All of them were, before it was put on the shelf."""

    def as_bytes(self) -> bytes:
        """The file."""
        document = {
            "format": FORMAT,
            "books": [self.books.event, self.books.at],
            "settings": self.settings,
            "at": _seconds(self.at),
            "expected": {
                o: [_seconds(e.likely), _seconds(e.latest), e.station] for o, e in self.expected.items()
            },
            "at_risk": {order: _seconds(due) for order, due in self.at_risk.items()},
            "helped": self.helped,
            "helps": {order: found and _help_json(found) for order, found in self.helps.items()},
            "hands": self.hands and [self.hands.station, self.hands.in_time, self.hands.of],
        }
        return json.dumps(document, ensure_ascii=False).encode()


def read_shelved(content: bytes) -> Shelved | None:
    """The forecast in a file; None when there is none, or it is not to be understood."""
    try:
        told = json.loads(content)
        if told["format"] != FORMAT:
            return None
        return Shelved(
            books=BooksMark(int(told["books"][0]), str(told["books"][1])),
            settings=str(told["settings"]),
            at=_moment(told["at"]),
            expected={
                str(order): Expected(_moment(likely), _moment(latest), str(station))
                for order, (likely, latest, station) in told["expected"].items()
            },
            at_risk={str(order): _moment(due) for order, due in told["at_risk"].items()},
            helped=tuple(map(str, told["helped"])),
            helps={str(order): _help(found) for order, found in told["helps"].items()},
            hands=_hands(told["hands"]),
        )
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, OSError):
        return None  # half a file after a power cut, say: it is made again


def forecast_settings(settings: Settings) -> str:
    """A word for the settings that a forecast hangs on: hours, paces, stations, film, time zone."""
    parts = [settings.line, settings.film, settings.shop, *settings.station]
    return hashlib.sha256("\n".join(part.model_dump_json() for part in parts).encode()).hexdigest()[:16]


def mark_books(store: Store) -> BooksMark:
    """How far the books are; another mark whenever something is booked."""
    with store.looking() as books:
        row = books.execute(_LAST_EVENT).first()
    return BooksMark(row.id, row.at.isoformat()) if row else BooksMark(0, "")


def booked_since(store: Store, mark: BooksMark) -> frozenset[str] | None:
    """The numbers of the orders of which something was booked since; None: these are other books."""
    with store.looking() as books:
        at = books.execute(_EVENT, {"id": mark.event}).scalar()
        if at is None or at.isoformat() != mark.at:
            return None
        return frozenset(books.execute(_TOUCHED, {"id": mark.event}).scalars())


def has_lots(store: Store, least: int) -> bool:
    """Whether the open orders have so many lots of pieces."""
    with store.looking() as books:
        return int(books.execute(_LOTS, {"least": least}).scalar() or 0) >= least


def _seconds(at: datetime) -> float:
    return at.timestamp()


def _moment(seconds: Any) -> datetime:
    return datetime.fromtimestamp(float(seconds), UTC)


def _help_json(found: Help) -> dict[str, Any]:
    latest = _seconds(found.latest) if found.latest else None
    return {
        "change": str(found.change),
        "latest": latest,
        "holds": found.holds,
        "station": found.station,
        "pieces": found.pieces,
        "of": found.of,
        "pushes": found.pushes,
    }


def _help(told: Any) -> Help | None:
    if told is None:
        return None
    latest = told["latest"]
    return Help(
        Change(told["change"]),
        _moment(latest) if latest is not None else None,
        bool(told["holds"]),
        str(told["station"]),
        int(told["pieces"]),
        int(told["of"]),
        int(told["pushes"]),
    )


def _hands(told: Any) -> Hands | None:
    return Hands(str(told[0]), int(told[1]), int(told[2])) if told else None
