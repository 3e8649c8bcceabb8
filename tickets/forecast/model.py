"""What the forecast works on: the line, the jobs that wait on it, and the paces that were learnt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Literal

from config.settings import Settings
from config.settings_line import StationPace
from tickets.places import SERVICES

Urgency = tuple[
    bool, datetime, str, str
]  # not rush, due, order, ticket: the order in which stations take jobs
NEVER = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Workplace:
    """One station as the forecast sees it. `waits_only`: another station's machine does its work as well."""

    name: str
    pace: StationPace
    waits_only: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """The stations before dispatch, in order, and which of them pieces of each service come to."""

    stations: tuple[Workplace, ...]
    ways: Mapping[str, tuple[str, ...]]
    learns: bool = True

    @classmethod
    def of(cls, settings: Settings) -> Line:
        """The line that the shop's settings describe; what waits at its last station is ready."""
        before = settings.station[:-1]
        done_elsewhere = {name for station in settings.station for name in station.books}
        stations = tuple(
            Workplace(s.name, settings.line.pace(s.name), s.name in done_elsewhere) for s in before
        )
        ways = {service: tuple(s.name for s in before if service not in s.skip_for) for service in SERVICES}
        return cls(stations, ways, settings.line.learn)

    def with_hands(self, station: str, more: int) -> Line:
        """The same line with more hands at one station."""
        stations = tuple(
            Workplace(s.name, s.pace.model_copy(update={"hands": s.pace.hands + more}), s.waits_only)
            if s.name == station
            else s
            for s in self.stations
        )
        return Line(stations, self.ways, self.learns)


@dataclass(frozen=True, slots=True)
class Work:
    """How much there is to do: pieces, and the metres of film that they take."""

    pieces: int
    metres: float

    def amount(self, per: Literal["piece", "metre", "job"]) -> float:
        """The same as the pace of a station counts it."""
        return {"piece": float(self.pieces), "metre": self.metres, "job": 1.0}[per]


@dataclass(frozen=True, slots=True)
class Job:
    """Pieces of one ticket that wait at one station. Minutes are working minutes from now.

    `kind`: of work, by which paces are learnt. `begun`: for so long somebody has been at it already.
    `release`: it comes only then. `chance`: that it comes at all.
    """

    order: str
    ticket: str
    station: str
    work: Work
    service: str
    kind: str
    urgency: Urgency
    begun: float = 0.0
    release: float = 0.0
    chance: float = 1.0


@dataclass(frozen=True, slots=True)
class Pace:
    """How long work takes at a station against what is configured: factors, as natural logarithms.

    `factor`: the likely one; `doubt`: how far it may be off; `spread`: how much one job differs from another;
    `kinds`: what each kind of work adds. `spoiled_share` of the pieces is lost. `scans` were learnt from.
    In `pause_share` of the jobs somebody goes away, or is called away, for `pause_minutes` on average.
    """

    factor: float
    doubt: float
    spread: float
    kinds: Mapping[str, float] = field(default_factory=dict)
    spoiled_share: float = 0.0
    scans: int = 0
    pause_share: float = 0.0
    pause_minutes: float = 0.0

    @classmethod
    def configured(cls, pace: StationPace) -> Pace:
        """What is believed before any scan."""
        return cls(0.0, pace.doubt, pace.spread, {}, pace.spoiled_share)


Paces = Mapping[str, Pace]  # by station


def usual_minutes(pace: StationPace, work: Work, *, with_set_up: bool = True) -> float:
    """How long work takes one pair of hands at the configured pace, in minutes; loads as full ones."""
    amount = work.amount(pace.per)
    if pace.load:
        return max(1.0, -(-amount // pace.load)) * pace.load_minutes
    return (pace.set_up_minutes if with_set_up else 0.0) + amount / pace.an_hour * 60


def film_metres(pieces: int, width_mm: float, height_mm: float, printable_mm: float) -> float:
    """Metres of roll that pieces take in rows, laid the way that takes less: from below, without gaps."""
    if width_mm <= 0 or height_mm <= 0:
        return 0.0
    ways = ((width_mm, height_mm), (height_mm, width_mm))
    lengths = [
        -(-pieces // int(printable_mm // across)) * along for across, along in ways if across <= printable_mm
    ]
    return min(lengths, default=pieces * max(width_mm, height_mm)) / 1000


SMALL_MM = 150.0  # up to here a print is a small one, a chest or a sleeve: common practice


def kind_of_work(service: str, film: str, width_mm: float, height_mm: float) -> str:
    """The kind of work by which paces are learnt: service, film, and whether the print is small or large."""
    size = "small" if max(width_mm, height_mm) <= SMALL_MM else "large"
    return f"{service}, {film or 'any film'}, {size}"
