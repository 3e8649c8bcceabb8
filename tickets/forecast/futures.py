"""Looks ahead: the line simulated forward in many futures, station by station, from what waits where now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickets.forecast.lanes import Minutes, serve_by_urgency
from tickets.forecast.loads import Oven, serve_in_loads
from tickets.forecast.model import Job, Line, Pace, Paces, Work, Workplace, usual_minutes

FUTURES = 500
LIKELY, LATEST = 0.5, 0.9
_SEED = 20261202  # fixed: the same books give the same answer through every door
_OVERDISPERSION = 3.0  # of the number of tickets that come, beyond what drawing each by itself gives
_TRIES = 24  # draws among which one is found that is longer than what was spent on the job already


@dataclass(frozen=True, slots=True)
class Outlook:
    """What was seen. `finish`: minutes from now until each job waits at dispatch, (jobs, futures).

    `spent`: by station, the mean minutes that each job waits and is worked on; `service`: those of work.
    """

    jobs: tuple[Job, ...]
    finish: Minutes
    spent: Mapping[str, NDArray[np.float64]]
    service: Mapping[str, NDArray[np.float64]]

    def orders(self) -> dict[str, list[int]]:
        """The rows of each order that is not merely supposed to come."""
        rows: dict[str, list[int]] = {}
        for row, job in enumerate(self.jobs):
            if job.chance == 1.0:
                rows.setdefault(job.order, []).append(row)
        return rows

    def ready(self, rows: Sequence[int]) -> Minutes:
        """When the last of these jobs is ready, in each future."""
        return np.asarray(self.finish[list(rows)].max(axis=0))

    def limited_by(self, rows: Sequence[int]) -> str:
        """The station at which the job that is ready last spends most of its time."""
        last = max(rows, key=lambda row: float(self.finish[row].mean())) if len(rows) > 1 else rows[0]
        return max(self.spent, key=lambda name: float(self.spent[name][last]))


def look_ahead(
    line: Line, jobs: Sequence[Job], paces: Paces, futures: int = FUTURES, seed: int = _SEED
) -> Outlook:
    """Simulate the line until every job is ready.

    Jobs are drawn in the order in which they are given: with some more at the end, the others' luck is the
    same, so that what is different between two looks is what those bring about.
    """
    looking = _Looking(line, tuple(jobs), paces, futures, seed)
    order = sorted(range(len(jobs)), key=lambda row: jobs[row].urgency)
    return looking.through_the_line(np.asarray(order, dtype=np.int64))


@dataclass(frozen=True, slots=True)
class _Looking:
    line: Line
    jobs: tuple[Job, ...]
    paces: Paces
    futures: int
    seed: int

    def through_the_line(self, order: NDArray[np.int64]) -> Outlook:
        shape = (len(self.jobs), self.futures)
        at = np.broadcast_to(self._released()[:, None], shape).copy()
        at[self._absent()] = np.inf
        spent: dict[str, NDArray[np.float64]] = {}
        service: dict[str, NDArray[np.float64]] = {}
        last: dict[str, int] = {}
        extra = np.zeros(shape, dtype=np.float64)
        for number, station in enumerate(self.line.stations):
            rows = self._begun_first(station.name, order[self._come_to(station.name, number)[order]])
            spent[station.name], service[station.name] = np.zeros(len(self.jobs)), np.zeros(len(self.jobs))
            if not rows.size or station.waits_only:
                continue
            luck = np.random.default_rng([self.seed, number])
            minutes = self._services(station, luck)[rows]
            before = at[rows]
            after = self._serve(station, before, minutes, rows)
            there = np.isfinite(before)
            took = np.where(there, after, 0.0) - np.where(there, before, 0.0)
            spent[station.name][rows] = took.mean(axis=1)
            service[station.name][rows] = np.where(there, minutes, 0.0).mean(axis=1)
            extra[rows] += self._made_again(station, number)[rows]
            at[rows] = after + station.pace.cooling_minutes
            last[station.name] = int(rows[np.where(there, after, 0.0).mean(axis=1).argmax()])
        finish = at + extra * self._once_more(service, last)[:, None]
        return Outlook(self.jobs, np.where(np.isfinite(finish), finish, 0.0), spent, service)

    def _begun_first(self, station: str, rows: NDArray[np.int64]) -> NDArray[np.int64]:
        """What somebody is at already is finished before anything, however urgent what came meanwhile."""
        begun = np.array(
            [self.jobs[row].begun > 0 and self.jobs[row].station == station for row in rows], dtype=bool
        )
        return np.concatenate([rows[begun], rows[~begun]])

    def _released(self) -> NDArray[np.float64]:
        return np.array([job.release for job in self.jobs], dtype=np.float64)

    def _absent(self) -> NDArray[np.bool_]:
        """Where jobs that may come do not: in some futures many orders come, in others few."""
        chance = np.array([job.chance for job in self.jobs])
        luck = np.random.default_rng([self.seed, 1000])
        drawn = luck.random((len(self.jobs), self.futures), dtype=np.float32)
        may_come = chance < 1.0
        if may_come.any():
            many = self._how_many(float(chance[may_come].sum()))
            drawn[may_come] /= np.minimum(many, 1.0 / chance.min())
        return np.asarray(drawn >= chance[:, None])

    def _how_many(self, expected: float) -> Minutes:
        """How many times the usual number of orders come, in each future.

        Orders come by chance (a Poisson process), several tickets at a time, and how many come a day is only
        known from as many that came: of `expected` tickets the variance is some 3.5 times as many. Half of
        them is in the drawing of each for itself; the rest is this factor, a gamma variable of mean 1.
        """
        shape = max(expected, 1.0) / _OVERDISPERSION
        luck = np.random.default_rng([self.seed, 1001])
        return np.asarray(luck.gamma(shape, 1.0 / shape, self.futures))

    def _come_to(self, station: str, number: int) -> NDArray[np.bool_]:
        """Which jobs still come to a station: it lies on their way, and they are not beyond it."""
        names = [s.name for s in self.line.stations]
        known = {name: at for at, name in enumerate(names)}
        comes = [
            station in self.line.ways.get(job.service, ()) and known.get(job.station, len(names)) <= number
            for job in self.jobs
        ]
        return np.array(comes, dtype=bool)

    def _services(self, station: Workplace, luck: np.random.Generator) -> Minutes:
        """How long each job takes one pair of hands, in each future; loads: how much longer than usual."""
        pace = self.paces.get(station.name) or Pace.configured(station.pace)
        luck_of_station = luck.standard_normal(self.futures, dtype=np.float32) * pace.doubt
        luck_of_jobs = luck.standard_normal((len(self.jobs), self.futures), dtype=np.float32)[self._alike()]
        usual = np.array([usual_minutes(station.pace, job.work) for job in self.jobs])
        kinds = np.array([pace.kinds.get(job.kind, 0.0) for job in self.jobs], dtype=np.float32)
        each = (
            np.float32(pace.spread) * luck_of_jobs
            + (kinds + np.float32(pace.factor - pace.spread**2 / 2))[:, None]
        )
        minutes = np.exp(each + luck_of_station) * usual[:, None]
        pauses = self._pauses(pace, luck)
        for row, job in enumerate(self.jobs):
            if job.begun > 0 and job.station == station.name:
                minutes[row], pauses[row] = self._rest_of(job, minutes[row], pace), 0.0
        minutes += pauses
        if station.pace.load:
            minutes /= usual[:, None]
        return np.asarray(minutes, dtype=np.float64)

    def _alike(self) -> NDArray[np.int64]:
        """For each job the first one of the same ticket at the same station: both are as hard to do."""
        first: dict[tuple[str, str, str], int] = {}
        rows = [
            first.setdefault((job.order, job.ticket, job.station), row) if job.ticket else row
            for row, job in enumerate(self.jobs)
        ]
        return np.array(rows, dtype=np.int64)

    def _pauses(self, pace: Pace, luck: np.random.Generator) -> Minutes:
        """For how long somebody is away in the middle of each job, in each future; mostly for no time."""
        shape = (len(self.jobs), self.futures)
        if not pace.pause_share:
            return np.zeros(shape)
        is_made = luck.random(shape, dtype=np.float32) < pace.pause_share
        pauses = np.zeros(shape)
        pauses[is_made] = luck.exponential(pace.pause_minutes, int(is_made.sum()))
        return pauses

    def _rest_of(self, job: Job, minutes: Minutes, pace: Pace) -> Minutes:
        """What is left of a job that somebody has been at for a while: of the luck that is still possible."""
        tries = np.random.default_rng([self.seed, 2000, int(job.begun * 60)])
        again = np.exp(tries.standard_normal((_TRIES, self.futures)) * pace.spread)
        drawn = np.concatenate([minutes[None], np.median(minutes) * again])
        rest, chance = _beyond(drawn, job.begun)
        rest = np.where(np.isnan(rest), minutes * pace.spread / 2, rest)
        if not pace.pause_share:
            return rest
        with_pause, pause_chance = _beyond(
            drawn + tries.exponential(pace.pause_minutes, drawn.shape), job.begun
        )
        # Bayes: how likely somebody is away, since the work is not done yet.
        away, at_work = pace.pause_share * pause_chance, (1.0 - pace.pause_share) * chance
        is_away = tries.random(self.futures) * (away + at_work) < away
        return np.where(is_away & ~np.isnan(with_pause), with_pause, rest)

    def _serve(
        self, station: Workplace, before: Minutes, minutes: Minutes, rows: NDArray[np.int64]
    ) -> Minutes:
        pace = station.pace
        if pace.gather_minutes:
            before = before + self._gathering(station, rows)
        if pace.load:
            amounts = np.array([self.jobs[row].work.amount(pace.per) for row in rows])
            return serve_in_loads(before, amounts, minutes, Oven(pace.load, pace.load_minutes, pace.hands))
        if pace.hands >= len(rows):
            return before + minutes
        return serve_by_urgency(before, minutes, pace.hands)

    def _gathering(self, station: Workplace, rows: NDArray[np.int64]) -> Minutes:
        """How long jobs wait for a film run to be made up: up to the time set, less what they did wait."""
        luck = np.random.default_rng([self.seed, 3000])
        wait = luck.random((len(self.jobs), self.futures)) * station.pace.gather_minutes
        gone = np.array([job.begun if job.station == station.name else 0.0 for job in self.jobs])
        return np.asarray(np.maximum(wait - gone[:, None], 0.0)[rows])

    def _made_again(self, station: Workplace, number: int) -> NDArray[np.bool_]:
        """In which futures at least one piece of a job is lost at a station and has to be made again."""
        pace = self.paces.get(station.name) or Pace.configured(station.pace)
        pieces = np.array([job.work.pieces for job in self.jobs], dtype=np.float64)
        lost = 1.0 - (1.0 - pace.spoiled_share) ** pieces
        if not lost.any():
            return np.zeros((len(self.jobs), self.futures), dtype=bool)
        luck = np.random.default_rng([self.seed, 4000 + number])
        return np.asarray(luck.random((len(self.jobs), self.futures), dtype=np.float32) < lost[:, None])

    def _once_more(
        self, service: Mapping[str, NDArray[np.float64]], last: Mapping[str, int]
    ) -> NDArray[np.float64]:
        """How long a few pieces take that are made again: they go first, but wait for hands to fall free.

        Behind the `last` job of a station nobody has anything else to do.
        """
        minutes = np.zeros(len(self.jobs))
        names = [job.service for job in self.jobs]
        for station in self.line.stations:
            if station.waits_only:
                continue
            working = service[station.name][service[station.name] > 0]
            rest = float(working.mean()) / 2 / station.pace.hands if working.size else 0.0
            few = [usual_minutes(station.pace, _one_of(job)) for job in self.jobs]
            here = np.array([station.name in self.line.ways.get(name, ()) for name in names])
            waits = np.full(len(self.jobs), rest)
            if station.name in last:
                waits[last[station.name]] = 0.0
            minutes += here * (np.array(few) + waits + station.pace.cooling_minutes)
        return minutes


def _beyond(drawn: Minutes, begun: float) -> tuple[Minutes, float]:
    """The first draw of each future that is longer than what was spent already, less that; nan where none is.

    And the share of all draws that are longer.
    """
    longer = drawn > begun
    found = np.take_along_axis(drawn, longer.argmax(axis=0)[None], axis=0)[0] - begun
    return np.where(longer.any(axis=0), found, np.nan), float(longer.mean())


def _one_of(job: Job) -> Work:
    return Work(1, job.work.metres / max(1, job.work.pieces))
