"""A promise for an order that is not placed yet: the earliest day that holds, and whom it would make late.

Every comparison is made on the same futures: with and without the order, the others have the same luck
(common random numbers), so that what differs is what the order brings about.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property

import numpy as np

from tickets.forecast.expected import Expected
from tickets.forecast.futures import FUTURES, LATEST, Outlook
from tickets.forecast.ground import Ground
from tickets.forecast.model import NEVER, Job, Work

ASKED = "\x00asked"  # no order of the books is called so: control characters are no part of a number
_MANY_JOBS, _FEWER_FUTURES = 600, 200  # a long queue is compared in fewer futures, to be answered in time
_MOST_DAYS = 400
_MOST_TRIES = 12
_BEHIND = 40  # of the less urgent, whose work may be under way when hands are wanted
_SMALL_PART = 0.7  # of the queue; more of it is not worth a look of its own
_SURELY, _SURELY_MINUTES = 1.1, 30.0  # past a due time by a tenth and half an hour is more than luck
_WORSE_MINUTES = 15.0  # of work; less is within what nobody can tell


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked for: the work of each item, the service that it has, and the kind of work it is."""

    work: Work
    service: str
    kind: str


@dataclass(frozen=True, slots=True)
class Delayed:
    """An order of the books that would be late by the new one, or later than it is already.

    `was`, `then`: the time that holds with 90 %, without and with the new order; `later`: working minutes
    between them; `late`: working minutes from its due time to `then`.
    """

    order: str
    due_at: datetime
    was: datetime
    then: datetime
    later: float
    late: float


@dataclass(frozen=True, slots=True)
class Offer:
    """What one due time would mean. `holds`: the share of futures in which the order is ready by it."""

    due_at: datetime
    rush: bool
    expected: Expected
    holds: float
    pushed: tuple[Delayed, ...]  # that would no longer hold their due times
    worse: tuple[Delayed, ...]  # that do not hold them already, and would be later still


@dataclass(frozen=True)
class Promising:
    """The line with and without an order. `closing`: when the shop closes on a day, aware."""

    ground: Ground
    wanted: Sequence[Wanted]
    closing: Callable[[date], datetime]
    _bases: dict[tuple[Job, ...], Mapping[str, Expected]] = field(default_factory=dict)
    _looked: dict[tuple[datetime, bool], tuple[Outlook, tuple[Job, ...]]] = field(default_factory=dict)

    @cached_property
    def futures(self) -> int:
        """In how many futures this is looked at."""
        return FUTURES if len(self.ground.jobs) <= _MANY_JOBS else _FEWER_FUTURES

    def earliest(self, *, rush: bool) -> datetime | None:
        """The due time of the first working day by whose closing nine futures of ten have the order ready.

        Its own due time is its place in the queue: an earlier one is served earlier. So from the soonest
        day on each day that the forecast itself names is tried, until one holds. None: not in sight.
        """
        due = self.first_closing(self.ground.now)
        for _ in range(_MOST_TRIES):
            if due is None:
                return None
            latest = self._near_latest(due, rush) or self._latest(self._look(due, rush=rush)[0])
            if latest is None:
                return None
            if latest <= due:
                return due
            due = self.first_closing(max(latest, due + timedelta(seconds=1)))
        return None

    def _near_latest(self, due_at: datetime, rush: bool) -> datetime | None:
        """What the forecast says of the order where only a small part of the queue goes before it.

        None: that part is not small, or the due time may be held after all; then all of it is looked at.
        """
        new, jobs = self._jobs(due_at, rush), self.ground.jobs
        last = max(job.urgency for job in new)
        before = sum(job.urgency < last for job in jobs) + _BEHIND
        if before > _SMALL_PART * len(jobs):
            return None
        near = [*jobs[:before], *(job for job in jobs[before:] if job.begun)]
        supposed = [job for job in self.ground.supposed([*near, *new]) if job.urgency < last]
        outlook = self.ground.look([*near, *supposed, *new], self.futures)
        latest = float(np.quantile(outlook.ready(outlook.orders()[ASKED]), LATEST))
        surely_late = self.ground.minutes_until(due_at) * _SURELY + _SURELY_MINUTES
        return self.ground.moment(latest) if latest > surely_late else None

    def offer(self, due_at: datetime, *, rush: bool) -> Offer | None:
        """What it would mean to have it ready by then, for itself and for the others."""
        outlook, supposed = self._look(due_at, rush=rush)
        after = self.ground.expected(outlook)
        if ASKED not in after:
            return None
        before = self._without(supposed)
        delayed = [d for d in self._delayed(before, after) if d.then > d.due_at]
        return Offer(
            due_at=due_at,
            rush=rush,
            expected=after[ASKED],
            holds=float(np.mean(outlook.ready(outlook.orders()[ASKED]) <= self.ground.minutes_until(due_at))),
            pushed=tuple(d for d in delayed if d.was <= d.due_at),
            worse=tuple(d for d in delayed if d.was > d.due_at and d.later >= _WORSE_MINUTES),
        )

    def harmless(self, after: Offer, most_days: int = 5) -> Offer | None:
        """The first of the working days after an offer by which nobody else would be made late."""
        due: datetime | None = after.due_at
        for _ in range(most_days):
            due = self.first_closing(due + timedelta(seconds=1)) if due else None
            found = self.offer(due, rush=False) if due else None
            if found and not found.pushed and found.expected.latest <= found.due_at:
                return found
        return None

    def first_closing(self, at: datetime) -> datetime | None:
        """Closing time of the first day that is worked on and closes at that moment or later."""
        zone = self.closing(at.date()).tzinfo
        first = at.astimezone(zone).date()
        for day in (first + timedelta(days=n) for n in range(_MOST_DAYS)):
            closes = self.closing(day)
            begins = datetime.combine(day, datetime.min.time(), zone)
            if closes >= at and self.ground.working.minute(closes) > self.ground.working.minute(begins):
                return closes
        return None

    def _jobs(self, due_at: datetime, rush: bool) -> list[Job]:
        """The order as it waits at the beginning of its way, from now on."""
        return [
            Job(
                ASKED,
                f"{number:04}",
                self.ground.line.ways[item.service][0],
                item.work,
                item.service,
                item.kind,
                (not rush, due_at, ASKED, f"{number:04}"),
            )
            for number, item in enumerate(self.wanted)
        ]

    def _look(self, due_at: datetime, *, rush: bool) -> tuple[Outlook, tuple[Job, ...]]:
        """The futures with the order, due then; and the orders that are supposed to come beside it."""
        if (due_at, rush) not in self._looked:
            new = self._jobs(due_at, rush)
            supposed = self._supposed(new, rush)
            outlook = self.ground.look([*self.ground.jobs, *supposed, *new], self.futures)
            self._looked[due_at, rush] = outlook, supposed
        return self._looked[due_at, rush]

    def _supposed(self, new: Sequence[Job], rush: bool) -> tuple[Job, ...]:
        """Orders that may come meanwhile: for a rush job the same as without, where that was looked at."""
        if rush:
            for (_, is_rush), (_, supposed) in self._looked.items():
                if not is_rush:
                    return supposed
        return self.ground.supposed([*self.ground.jobs, *new])

    def _latest(self, outlook: Outlook) -> datetime | None:
        found = self.ground.expected(outlook).get(ASKED)
        return found.latest if found else None

    def _without(self, supposed: tuple[Job, ...]) -> Mapping[str, Expected]:
        """The same futures without the order; looked at once for the same supposed orders."""
        if supposed not in self._bases:
            jobs = [*self.ground.jobs, *supposed]
            self._bases[supposed] = (
                self.ground.expected(self.ground.look(jobs, self.futures)) if self.ground.jobs else {}
            )
        return self._bases[supposed]

    def _delayed(self, before: Mapping[str, Expected], after: Mapping[str, Expected]) -> list[Delayed]:
        """Every order with a due time whose 90 % time moves, the soonest due first."""
        dues = {job.order: job.urgency[1] for job in self.ground.jobs if job.urgency[1] != NEVER}
        minute = self.ground.working.minute
        found = []
        for order, due_at in dues.items():
            if order not in before or order not in after:
                continue
            was, then = before[order].latest, after[order].latest
            if then > was:
                later, late = minute(then) - minute(was), minute(then) - minute(due_at)
                found.append(Delayed(order, due_at, was, then, later, late))
        return sorted(found, key=lambda one: (one.due_at, one.order))
