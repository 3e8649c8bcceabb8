"""A simulated shop with a known truth: orders come, people work, scan, forget to scan, and take breaks."""

from __future__ import annotations

import heapq
import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from config.settings import Settings, load_settings
from tickets.forecast.arrivals import Past, supposed_jobs
from tickets.forecast.learning import Done, learn, mark_begun
from tickets.forecast.model import Job, Line, Pace, Urgency, Work, usual_minutes

START = datetime(2026, 12, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Truth:
    """How the shop really works: factors on the configured times by station, and what people do."""

    factors: Mapping[str, float] = field(default_factory=dict)
    spread: float = 0.3
    forgotten: float = 0.0  # share of scans that nobody made
    breaks: float = 0.0  # share of jobs in the middle of which somebody goes away for a while
    order_minutes: float = 30.0  # between two orders, on average
    lead_minutes: tuple[float, float] = (900.0, 2400.0)  # from taken to due
    rush_share: float = 0.05
    changes: Mapping[float, Mapping[str, float]] = field(default_factory=dict)  # from a minute on


@dataclass
class _Ticket:
    order: str
    work: Work
    urgency: Urgency
    kind: str = "pressed, hot peel, small"
    at: int = 0  # number of the station; beyond the last: ready
    came: float = 0.0
    taken: float = 0.0
    ready: float | None = None


class Shop:
    """Works by events in working minutes; every scan and every order's true end is kept."""

    def __init__(self, settings: Settings | None, truth: Truth, seed: int) -> None:
        self.settings = settings or load_settings(None, {})
        self.line = Line.of(self.settings)
        self.truth = truth
        self.luck = random.Random(seed)
        self.now = 0.0
        self.tickets: list[_Ticket] = []
        self.history: list[Done] = []
        self.came: dict[tuple[str, str], float] = {}
        self.idle = {s.name: s.pace.hands for s in self.line.stations}
        self.queues: dict[str, list[tuple[Urgency, int]]] = {s.name: [] for s in self.line.stations}
        self.events: list[tuple[float, int, str, int]] = [(0.0, 0, "order", 0)]
        self.count = 0

    def work_until(self, minute: float) -> None:
        """Let everything happen up to a minute."""
        while self.events and self.events[0][0] <= minute:
            self.now, _, what, ticket = heapq.heappop(self.events)
            if what == "order":
                self._take_order()
            elif what == "come":
                self._come(ticket)
            else:
                self._done(what, ticket)
        self.now = minute

    def work_until_ready(self, orders: Iterable[str]) -> None:
        """Go on, orders coming in as ever, until all of these are ready."""
        wanted = set(orders)
        while any(t.ready is None for t in self.tickets if t.order in wanted):
            self.work_until(self.now + 480)

    def jobs(self) -> list[Job]:
        """What waits now, as the books would tell."""
        names = [s.name for s in self.line.stations]
        return [
            Job(t.order, str(n), names[t.at], t.work, "pressed", t.kind, t.urgency)
            for n, t in enumerate(self.tickets)
            if t.ready is None and t.came <= self.now
        ]

    def jobs_and_paces(self) -> tuple[list[Job], dict[str, Pace]]:
        """What waits, with what is begun, and what was learnt so far."""
        paces = learn(self.line, self.history[-3000:])
        seen: dict[str, list[float]] = {}
        for done in self.history:
            seen.setdefault(done.station, []).append(done.at)
        jobs = mark_begun(self.line, self.jobs(), self.came, seen, self.now, paces)
        past = [
            Past(
                self.now - t.taken,
                t.urgency[1] - (START + timedelta(minutes=t.taken)),
                not t.urgency[0],
                t.work,
                "pressed",
                t.kind,
            )
            for t in self.tickets
            if t.taken > self.now - 2400
        ]
        now = self.now
        more = supposed_jobs(self.line, jobs, past, paces, lambda m: START + timedelta(minutes=now + m))
        return [*jobs, *more], paces

    def ready_at(self, order: str) -> float:
        """When the last piece of an order was ready."""
        times = [t.ready for t in self.tickets if t.order == order]
        return max(time for time in times if time is not None)

    def _at(self, minutes: float, what: str, ticket: int) -> None:
        self.count += 1
        heapq.heappush(self.events, (self.now + minutes, self.count, what, ticket))

    def _take_order(self) -> None:
        self._at(self.luck.expovariate(1 / self.truth.order_minutes), "order", 0)
        number = f"OB-{len(self.tickets):05}"
        due = START + timedelta(minutes=self.now + self.luck.uniform(*self.truth.lead_minutes))
        rush = self.luck.random() < self.truth.rush_share
        for _ in range(self.luck.choice((1, 1, 1, 2, 3))):
            pieces = min(400, max(1, round(self.luck.lognormvariate(2.6, 0.9))))
            work = Work(pieces, pieces * 0.02)
            self.tickets.append(
                _Ticket(number, work, (not rush, due, number, f"{len(self.tickets):06}"), taken=self.now)
            )
            self._come(len(self.tickets) - 1)

    def _come(self, number: int) -> None:
        ticket = self.tickets[number]
        if ticket.at >= len(self.line.stations):
            ticket.ready = self.now
            return
        station = self.line.stations[ticket.at].name
        ticket.came = self.now
        self.came[str(number), station] = self.now
        heapq.heappush(self.queues[station], (ticket.urgency, number))
        self._take_up(station)

    def _take_up(self, station: str) -> None:
        while self.idle[station] and self.queues[station]:
            _, number = heapq.heappop(self.queues[station])
            self.idle[station] -= 1
            self._at(self._minutes(station, self.tickets[number]), station, number)

    def _minutes(self, name: str, ticket: _Ticket) -> float:
        factors = dict(self.truth.factors)
        for since, change in sorted(self.truth.changes.items()):
            if self.now >= since:
                factors.update(change)
        station = next(s for s in self.line.stations if s.name == name)
        spread = self.truth.spread
        minutes = usual_minutes(station.pace, ticket.work) * factors.get(name, 1.0)
        minutes *= self.luck.lognormvariate(-spread * spread / 2, spread)
        return minutes + (self.luck.uniform(10, 30) if self.luck.random() < self.truth.breaks else 0.0)

    def _done(self, station: str, number: int) -> None:
        ticket = self.tickets[number]
        self.idle[station] += 1
        done = Done(
            station,
            self.count,
            self.now,
            self.came[str(number), station],
            ticket.work,
            ticket.kind,
            ticket.urgency,
        )
        if self.luck.random() >= self.truth.forgotten:
            self.history.append(done)
        ticket.at += 1
        pace = next(s.pace for s in self.line.stations if s.name == station)
        if pace.cooling_minutes:
            self._at(pace.cooling_minutes, "come", number)
        else:
            self._come(number)
        self._take_up(station)


def with_paces(**stations: Mapping[str, float]) -> Settings:
    """The shipped settings with other paces at some stations."""
    settings = load_settings(None, {})
    paces = dict(settings.line.station)
    for name, changes in stations.items():
        paces[name] = settings.line.pace(name).model_copy(update=dict(changes))
    return settings.model_copy(update={"line": settings.line.model_copy(update={"station": paces})})


__all__ = ["START", "Shop", "Truth", "replace", "with_paces"]
