"""One station of the line in many futures at once: jobs in order of urgency before so many hands.

A non-preemptive priority queue with parallel servers, exact in every future. The futures are lanes of
arrays; the jobs that wait are bits of a two-level bitmap in order of urgency, so that letting one in and
taking the first are a few operations on whole arrays. The method is our own; the rule is any textbook's.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Minutes = NDArray[np.float64]
Indexes = NDArray[np.int64]
Flags = NDArray[np.bool_]
_WORD = 64
_ONE = np.uint64(1)


def serve_by_urgency(arrivals: Minutes, services: Minutes, hands: int) -> Minutes:
    """When each job leaves a station, in each future.

    arrivals, services: minutes, shape (jobs, futures); the rows in order of urgency, the most urgent first.
    inf as arrival: the job does not come here. Returns departures of the same shape, inf where it does not
    come. Hands that fall free take the most urgent of what waits; idle hands take whatever comes first.
    """
    departures = np.full(arrivals.shape, np.inf)
    if not arrivals.size:
        return departures
    doors, free = Doors(arrivals), FreeHands(hands, arrivals.shape[1])
    while True:
        start = free.next_free()
        doors.admit_until(np.where(doors.waiting.count == 0, np.maximum(start, doors.next), start))
        job, busy = doors.waiting.take_first()
        if not busy.any():
            return departures
        lane = np.flatnonzero(busy)
        job = job[lane]
        leaves = np.maximum(start[lane], arrivals[job, lane]) + services[job, lane]
        departures[job, lane] = leaves
        free.keep_until(lane, leaves)


@dataclass
class FreeHands:
    """When each pair of hands at a station falls free, in every future."""

    hands: int
    futures: int
    at: Minutes = field(init=False)
    which: Indexes = field(init=False)

    def __post_init__(self) -> None:
        self.at = np.zeros((self.hands, self.futures))
        self.which = np.zeros(self.futures, dtype=np.int64)

    def next_free(self) -> Minutes:
        """When the first of them is free."""
        if self.hands == 1:
            return np.array(self.at[0])
        self.which = self.at.argmin(axis=0)
        return np.asarray(self.at[self.which, np.arange(self.futures)])

    def keep_until(self, lanes: Indexes, until: Minutes) -> None:
        """Those that were free first are busy until then, in these futures."""
        self.at[self.which[lanes], lanes] = until


class Doors:
    """Lets jobs in as they arrive, in every future; `next` is when the next one comes, inf when none does."""

    def __init__(self, arrivals: Minutes) -> None:
        jobs, futures = arrivals.shape
        order = np.argsort(arrivals.T, axis=1, kind="stable")
        self.order = np.concatenate([order, np.zeros((futures, 1), dtype=np.int64)], axis=1)
        times = np.take_along_axis(arrivals.T, order, axis=1)
        self.times = np.concatenate([times, np.full((futures, 1), np.inf)], axis=1)
        self.following = np.zeros(futures, dtype=np.int64)
        self.next = self.times[:, 0].copy()
        self.waiting = Waiting(jobs, futures)
        self._let_in_those_that_wait()

    def _let_in_those_that_wait(self) -> None:
        """All that are there at minute 0, at once."""
        there = (self.times <= 0).sum(axis=1)
        most = int(there.max(initial=0))
        lane = np.arange(len(there))
        for at in range(most):
            who = lane[there > at]
            self.waiting.admit(self.order[who, at], who)
        self.following = there
        self.next = self.times[lane, there]

    def admit_until(self, until: Minutes) -> None:
        """Let in all that have come until then; inf admits none."""
        due = np.flatnonzero((self.next <= until) & (self.next < np.inf))
        while due.size:
            at = self.following[due]
            self.waiting.admit(self.order[due, at], due)
            self.following[due] = at + 1
            self.next[due] = self.times[due, at + 1]
            due = due[(self.next[due] <= until[due]) & (self.next[due] < np.inf)]


class Waiting:
    """The jobs that wait, a bit each in order of urgency, in every future."""

    def __init__(self, jobs: int, futures: int) -> None:
        self.words = np.zeros((futures, -(-jobs // _WORD)), dtype=np.uint64)
        self.count = np.zeros(futures, dtype=np.int64)
        self.lanes = np.arange(futures)

    def admit(self, jobs: Indexes, lanes: Indexes) -> None:
        """One job in each of these futures begins to wait."""
        bits = np.left_shift(_ONE, (jobs % _WORD).astype(np.uint64))
        self.words[lanes, jobs // _WORD] |= bits
        self.count[lanes] += 1

    def first(self) -> tuple[Indexes, Flags]:
        """The most urgent job of each future; where none waits the second answer is False."""
        word = (self.words != 0).argmax(axis=1)
        held = self.words[self.lanes, word]
        lowest = held & (~held + _ONE)
        bit = np.log2(np.maximum(lowest, _ONE).astype(np.float64)).astype(np.int64)  # a power of two: exact
        return word * _WORD + bit, self.count > 0

    def take_first(self) -> tuple[Indexes, Flags]:
        """As `first`, and it waits no more."""
        job, busy = self.first()
        self.drop(job, busy)
        return job, busy

    def drop(self, jobs: Indexes, where: Flags) -> None:
        """These jobs wait no more, in the futures where it says so."""
        lanes = np.flatnonzero(where)
        gone = jobs[lanes]
        self.words[lanes, gone // _WORD] ^= np.left_shift(_ONE, (gone % _WORD).astype(np.uint64))
        self.count[lanes] -= 1
