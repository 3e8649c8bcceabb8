"""What helps an order that may be late: each change is tried on the same futures, the best one is named."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cached_property

import numpy as np

from tickets.forecast.answering import rounded
from tickets.forecast.changes import Change, Hands, Help
from tickets.forecast.expected import Expected
from tickets.forecast.futures import LATEST, Outlook
from tickets.forecast.ground import Ground
from tickets.forecast.model import NEVER, Job, Line, Urgency, Work

MOST_HELPED = 12  # of the orders at risk, the soonest due: what is late beyond them changes with these
_MOST_JOBS, _BEHIND = 400, 40  # what is less urgent than they are hardly matters to them: it waits
_FUTURES = 200
_LEAST_MINUTES = 15.0  # of work; a smaller gain is within what nobody can tell


class Helping:
    """The orders at risk, and what helps each; looked at when it is asked for, and then kept."""

    def __init__(self, ground: Ground, expected: Mapping[str, Expected]) -> None:
        self.ground, self._expected = ground, expected
        self._known: dict[str, Help | None] = {}
        dues = {job.order: job.urgency[1] for job in ground.jobs if job.urgency[1] != NEVER}
        late = sorted((due, order) for order, due in dues.items() if _is_late(expected.get(order), due))
        self.at_risk = {order: due for due, order in late}
        self._jobs = self._kept(list(self.at_risk)[:MOST_HELPED])
        beyond = {job.order for job in set(ground.jobs) - set(self._jobs)}
        self.helped = [order for order in list(self.at_risk)[:MOST_HELPED] if order not in beyond]

    def help_for(self, order: str) -> Help | None:
        """What helps most; None when nothing does, or the order is none of those that are looked at."""
        if order not in self._known:
            self._known[order] = self._best(order) if order in self.helped else None
        return self._known[order]

    def known(self, order: str) -> Help | None:
        """The same, if it was looked at already."""
        return self._known.get(order)

    def is_known(self, order: str) -> bool:
        """Whether it was looked at already."""
        return order in self._known

    def look_at_all(self) -> None:
        """Look at all of them now, so that nobody has to wait for it; at more hands first."""
        _ = self.hands
        for order in self.helped:
            self.help_for(order)

    def _kept(self, orders: Sequence[str]) -> tuple[Job, ...]:
        """All jobs up to the least urgent of these orders, some behind them, and what is begun."""
        jobs = self.ground.jobs
        last = max((at for at, job in enumerate(jobs) if job.order in orders), default=-1)
        far = min(last + 1, _MOST_JOBS) + _BEHIND if last >= 0 else 0
        return (*jobs[:far], *(job for job in jobs[far:] if job.begun))

    @cached_property
    def hands(self) -> Hands | None:
        """One more pair of hands at the station that limits most of the orders at risk; None: it helps none.

        Looked at with all that waits, for it is said of all of them.
        """
        limiting = Counter(self._expected[order].station for order in self.at_risk)
        if not limiting:
            return None
        ((station, _),) = limiting.most_common(1)
        jobs, line = self.ground.jobs, self.ground.line.with_hands(station, 1)
        looked = self.ground.look([*jobs, *self.ground.supposed(jobs)], _FUTURES, line)
        then = self.ground.expected(looked)
        in_time = sum(order in then and then[order].latest <= due for order, due in self.at_risk.items())
        return Hands(station, in_time, len(self.at_risk)) if in_time else None

    def _pushed_by(self, rushed: Outlook, rushed_order: str) -> int:
        """How many orders that are in time as it is would be late if this one were a rush job."""
        before, after = (self.ground.expected(seen) for seen in (self._as_it_is, rushed))
        dues = {job.order: job.urgency[1] for job in self._jobs if job.urgency[1] != NEVER}
        return sum(
            order in before and order in after and before[order].latest <= due < after[order].latest
            for order, due in dues.items()
            if order != rushed_order
        )

    @cached_property
    def _supposed(self) -> tuple[Job, ...]:
        return self.ground.supposed(self._jobs)

    @cached_property
    def _as_it_is(self) -> Outlook:
        return self._look(self._jobs)

    @cached_property
    def _with_more_hands(self) -> Mapping[str, Outlook]:
        """The same futures with one more at each station, where two then share what is large."""
        line, shared = self.ground.line, self._in_halves(self.helped)
        names = [s.name for s in line.stations if not s.waits_only]
        return {name: self._look(shared, line.with_hands(name, 1)) for name in names}

    @cached_property
    def _shared_alone(self) -> Outlook:
        """The same without one more anywhere: what the sharing itself brings about is no merit of hands."""
        return self._look(self._in_halves(self.helped))

    def _with_hands(self, order: str) -> list[tuple[float, Change, str]]:
        """What one more at each station brings the order, where it brings anything."""
        alone = _latest(self._shared_alone, order) - _LEAST_MINUTES
        found = ((_latest(seen, order), name) for name, seen in self._with_more_hands.items())
        return [(latest, Change.HANDS, name) for latest, name in found if latest < alone]

    def _look(self, jobs: Sequence[Job], line: Line | None = None) -> Outlook:
        """The known jobs keep their rows, so their luck; others come after those that may come."""
        count = len(self._jobs)
        return self.ground.look([*jobs[:count], *self._supposed, *jobs[count:]], _FUTURES, line)

    def _best(self, order: str) -> Help | None:
        due = self.ground.minutes_until(self.at_risk[order])
        now = _latest(self._as_it_is, order)
        split, rushed = self._look(self._in_halves([order])), self._look(self._rushed(order))
        tried = [
            (_latest(rushed, order), Change.RUSH, ""),
            (_latest(split, order), Change.SPLIT, ""),
            *self._with_hands(order),
        ]
        # Of changes that bring as much the one that asks least of the shop: they are tried in that order.
        least = min(latest for latest, _, _ in tried) + _LEAST_MINUTES
        latest, change, station = next(one for one in tried if one[0] < least)
        pieces, of = _ready_by(split, order, due)
        if latest > due and pieces and self.at_risk[order] > self.ground.now:
            return Help(Change.PART, pieces=pieces, of=of)
        at = self.ground.moment(latest)
        if at is None or now - latest < _LEAST_MINUTES:
            return None
        pushes = self._pushed_by(rushed, order) if change is Change.RUSH else 0
        return Help(change, rounded(at), latest <= due, station, pushes=pushes)

    def _rushed(self, order: str) -> list[Job]:
        return [
            replace(job, urgency=(False, *job.urgency[1:])) if job.order == order else job
            for job in self._jobs
        ]

    def _in_halves(self, orders: Collection[str]) -> list[Job]:
        """Each of their tickets in two parts that are passed on by themselves; the small ones go first."""
        first, second = [], []
        for job in self._jobs:
            pieces = job.work.pieces
            if job.order not in orders:
                first.append(job)
                continue
            half = pieces - pieces // 2
            first.append(replace(job, work=_part(job.work, half), urgency=_by_size(job, half, 0)))
            if pieces > 1:
                rest = _part(job.work, pieces // 2)
                second.append(replace(job, work=rest, urgency=_by_size(job, half, 1), begun=0.0))
        return [*first, *second]


def _is_late(expected: Expected | None, due: datetime) -> bool:
    return expected is not None and expected.latest > due


def _by_size(job: Job, pieces: int, part: int) -> Urgency:
    """The same urgency, but among the tickets of its order small ones are first."""
    return (*job.urgency[:3], f"{pieces:09}{job.ticket}{part}")


def _part(work: Work, pieces: int) -> Work:
    return Work(pieces, work.metres * pieces / work.pieces)


def _latest(outlook: Outlook, order: str) -> float:
    """Until which minute all of an order is ready in nine futures of ten."""
    return float(np.quantile(outlook.ready(outlook.orders()[order]), LATEST))


def _ready_by(outlook: Outlook, order: str, minute: float) -> tuple[int, int]:
    """How many pieces are all ready by then in nine futures of ten; and of how many that are in work."""
    rows = sorted(outlook.orders()[order], key=lambda row: float(np.quantile(outlook.finish[row], LATEST)))
    all_pieces, pieces = sum(outlook.jobs[row].work.pieces for row in rows), 0
    for count in range(1, len(rows) + 1):
        if float(np.quantile(outlook.ready(rows[:count]), LATEST)) > minute:
            break
        pieces += outlook.jobs[rows[count - 1]].work.pieces
    return pieces, all_pieces
