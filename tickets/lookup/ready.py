"""When will it be ready: what waits and what was scanned lately, from the books to the forecast.

Numbers are crunched with numpy, which comes with this module: finished work never imports it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Row, bindparam, text
from sqlmodel import Session

from config.settings import Settings
from tickets.forecast.arrivals import Past
from tickets.forecast.expected import Expected
from tickets.forecast.ground import Ground
from tickets.forecast.hours import WorkingTime
from tickets.forecast.learning import Done, learn, mark_begun
from tickets.forecast.model import NEVER, Job, Line, Urgency, Work, film_metres, kind_of_work
from tickets.places import ENDS
from tickets.standing import ACCEPTED
from tickets.store import Store
from tickets.utc import Utc

MOST_JOBS = 4000  # the most urgent; what comes after them has no time yet
_MOST_MOVES, _PAST_MINUTES, _MOST_PAST = 4000, 2400.0, 500
_WORK = """
    o.number, o.due_at, o.rush AS order_rush, o.taken_at, t.code, t.rush AS ticket_rush, i.service, i.film,
    coalesce(i.print_width_mm, i.ordered_width_mm, 0) AS width_mm,
    coalesce(i.print_height_mm, i.ordered_height_mm, 0) AS height_mm
"""
_JOINED = "JOIN items AS i ON i.id = t.item_id JOIN orders AS o ON o.id = i.order_id"
_WAITING = text(
    f"""
    SELECT {_WORK}, l.place, l.count AS pieces, i.standing,
        (o.held_why IS NOT NULL OR t.held_why IS NOT NULL) AS is_held
    FROM lots AS l JOIN tickets AS t ON t.id = l.ticket_id {_JOINED}
    WHERE o.closed_at IS NULL AND NOT t.withdrawn
    """
).columns(due_at=Utc, taken_at=Utc)
_MOVES = text(
    f"""
    SELECT {_WORK}, m.id AS move, m.scan_id, m.from_place, m.to_place, m.count AS pieces,
        m.inferred, s.at, s.station
    FROM movements AS m JOIN scans AS s ON s.id = m.scan_id JOIN tickets AS t ON t.id = m.ticket_id {_JOINED}
    WHERE s.kind <> 'undo' AND NOT EXISTS (SELECT 1 FROM scans AS u WHERE u.undoes_id = s.id)
    ORDER BY m.id DESC LIMIT :most
    """
).columns(due_at=Utc, taken_at=Utc, at=Utc)
_TAKEN = (
    text(
        f"""
    SELECT {_WORK}, t.quantity AS pieces FROM tickets AS t {_JOINED}
    WHERE t.reprint_of_id IS NULL AND o.taken_at >= :since ORDER BY t.id DESC LIMIT :most
    """
    )
    .bindparams(bindparam("since", type_=Utc))
    .columns(due_at=Utc, taken_at=Utc)
)


def read_ground(store: Store, settings: Settings, now: datetime) -> Ground:
    """What a forecast stands on, paces and all."""
    with store.reading() as session:
        return _Reading(session, settings, now).ground()


def expect(ground: Ground) -> dict[str, Expected]:
    """When each order in work is expected, of those that wait for nobody."""
    if not ground.jobs:
        return {}
    return ground.expected(ground.look((*ground.jobs, *ground.supposed(ground.jobs))))


class _Reading:
    """One forecast, read from the books in one moment of them."""

    def __init__(self, session: Session, settings: Settings, now: datetime) -> None:
        self.session, self.settings, self.now = session, settings, now
        self.line = Line.of(settings)
        self.working = WorkingTime.around(settings.line, settings.shop.zone, now)
        self.minute = self.working.minute(now)
        self.names = {station.name for station in self.line.stations}

    def ground(self) -> Ground:
        """What the forecast stands on."""
        jobs, stopped = self._jobs()
        history, came, seen = self._history()
        paces = learn(self.line, history)
        jobs = mark_begun(self.line, jobs, came, seen, self.minute, paces)
        past = tuple(self._past())
        return Ground(self.line, tuple(jobs), past, paces, self.working, self.now, frozenset(stopped))

    def _moment(self, minutes: float) -> datetime | None:
        return self.working.moment(self.minute + minutes)

    def _rows(self, asked: Any, **values: Any) -> Sequence[Row[Any]]:
        return self.session.connection().execute(asked, values).all()

    def _jobs(self) -> tuple[list[Job], set[str]]:
        """What is worked on, the most urgent first, and the orders that something of is stopped."""
        jobs, stopped = [], set()
        for row in self._rows(_WAITING):
            if row.place in ENDS:
                continue
            if row.is_held or row.standing != ACCEPTED:
                stopped.add(row.number)
            elif row.place in self.names:
                work, kind = self._work(row)
                jobs.append(Job(row.number, row.code, row.place, work, row.service, kind, _urgency(row)))
        jobs.sort(key=lambda job: (job.urgency, job.station))
        return jobs[:MOST_JOBS], stopped | {job.order for job in jobs[MOST_JOBS:]}

    def _work(self, row: Row[Any]) -> tuple[Work, str]:
        printable = self.settings.film.printable_mm
        metres = film_metres(row.pieces, row.width_mm, row.height_mm, printable)
        return Work(row.pieces, metres), kind_of_work(row.service, row.film, row.width_mm, row.height_mm)

    def _history(self) -> tuple[list[Done], dict[tuple[str, str], float], dict[str, list[float]]]:
        """What was done lately, the oldest first; when tickets came to stations; when those worked."""
        history: dict[tuple[int, str, str], Done] = {}
        came: dict[tuple[str, str], float] = {}
        seen: dict[str, list[float]] = {}
        begun: set[tuple[str, str]] = set()
        for row in reversed(self._rows(_MOVES, most=_MOST_MOVES)):
            at, place = self.working.minute(row.at), row.from_place
            if place in self.names and row.to_place not in ("cancelled", place):
                inferred = bool(row.inferred) or place != row.station
                work, kind = self._work(row)
                spoiled = row.pieces if row.to_place == "spoiled" else 0
                first = (row.code, place) not in begun
                begun.add((row.code, place))
                known = came.get((row.code, place))
                history[row.move, row.code, place] = Done(
                    place, row.scan_id, at, known, work, kind, _urgency(row), spoiled, first, inferred
                )
                if not inferred:
                    seen.setdefault(place, []).append(at)
            came[row.code, row.to_place] = at
        return list(history.values()), came, seen

    def _past(self) -> list[Past]:
        """What was taken lately, as what may come."""
        since = self._moment(-min(_PAST_MINUTES, self.minute)) or self.now
        past = []
        for row in self._rows(_TAKEN, since=since.astimezone(UTC), most=_MOST_PAST):
            work, kind = self._work(row)
            lead: timedelta | None = row.due_at - row.taken_at if row.due_at else None
            taken = self.minute - self.working.minute(row.taken_at)
            past.append(Past(taken, lead, bool(row.order_rush), work, row.service, kind))
        return past


def _urgency(row: Row[Any]) -> Urgency:
    return (not (row.order_rush or row.ticket_rush), row.due_at or NEVER, row.number, row.code)
