"""Orders that nobody has placed yet: as many, large and urgent as of late; some go before what waits."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from tickets.forecast.model import NEVER, Job, Line, Pace, Paces, Work, usual_minutes

_SHIFTS = ((0.0, 0.5), (0.5, 0.5))  # each comes in half of the futures at its own hour, in half at another
LEAST_WINDOW_MINUTES = (
    480.0  # two orders in the first five minutes are not a flood that goes on: a working day
)
_MOST_PARTS, _MOST_SHARE = 60, 0.5  # of supposed work: so many jobs, or such a share of those that wait


@dataclass(frozen=True, slots=True)
class Past:
    """A ticket taken lately. `taken`: how many working minutes ago; `lead`: from then to its due time."""

    taken: float
    lead: timedelta | None
    rush: bool
    work: Work
    service: str
    kind: str


def supposed_jobs(
    line: Line,
    jobs: Sequence[Job],
    past: Sequence[Past],
    paces: Paces,
    moment: Callable[[float], datetime | None],
) -> list[Job]:
    """Jobs that may come while those that wait are worked on, and go before some of them.

    The latest past is supposed to come again, for as long as what waits will take. `moment`: which time a
    working minute from now is. Work that is less urgent than all that waits changes nothing, and is left.
    """
    if not jobs or not past:
        return []
    ahead = _minutes_of_work(line, jobs, paces)
    window = max(LEAST_WINDOW_MINUTES, *(one.taken for one in past))
    last = max(job.urgency for job in jobs)
    most = max(_MOST_PARTS, int(_MOST_SHARE * len(jobs)))
    found: list[Job] = []
    coming = sorted(_coming(past, window), key=lambda one: one[0])
    for copy in range(math.ceil(ahead / window)):
        for after, number, part, chance in coming:
            release = after + copy * window
            at = moment(release) if release < ahead else None
            if at is None or len(found) == most:
                return found
            one = past[number]
            due = at + one.lead if one.lead is not None else NEVER
            urgency = (not one.rush, due, "", f"{copy}.{number}.{part}")
            if urgency < last:
                place = line.ways[one.service][0]
                come = release + 0.01
                found.append(
                    Job("", "", place, one.work, one.service, one.kind, urgency, release=come, chance=chance)
                )
    return found


def _coming(past: Sequence[Past], window: float) -> Iterator[tuple[float, int, int, float]]:
    """After how many minutes each comes again, its number, in which half of the futures, and how often."""
    for number, one in enumerate(past):
        for part, (shift, chance) in enumerate(_SHIFTS):
            # What was taken this minute comes again a window later, not at once.
            after = window - one.taken + shift * window
            yield after - (after > window) * window, number, part, chance


def _minutes_of_work(line: Line, jobs: Sequence[Job], paces: Paces) -> float:
    """How long the busiest station needs for all that comes to it."""
    names = [s.name for s in line.stations]
    most = 0.0
    for number, station in enumerate(line.stations):
        if station.waits_only:
            continue
        pace = paces.get(station.name) or Pace.configured(station.pace)
        coming = (
            j for j in jobs if station.name in line.ways[j.service] and names.index(j.station) <= number
        )
        work = sum(usual_minutes(station.pace, job.work) for job in coming)
        most = max(most, work * math.exp(pace.factor) / station.pace.hands)
    return most * 1.25 + 60.0
