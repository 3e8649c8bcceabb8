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
_LOOKED_AT = 8  # arrivals that are looked at in one go, in each future
_NEXT_FEW = np.arange(_LOOKED_AT)
_LAST_MINUTE = 1e300  # before inf, at which nothing comes


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
        times = np.take_along_axis(arrivals.T, order, axis=1)
        self.order = np.concatenate([order, np.zeros((futures, _LOOKED_AT), dtype=np.int64)], axis=1).ravel()
        self.times = np.concatenate([times, np.full((futures, _LOOKED_AT), np.inf)], axis=1).ravel()
        self.row = np.arange(futures) * (jobs + _LOOKED_AT)
        self.waiting = Waiting(jobs, futures)
        there = (times <= 0).sum(axis=1)
        lanes, places = np.nonzero(np.arange(jobs) < there[:, None])
        self.waiting.admit(order[lanes, places], lanes, there)  # all that are there at minute 0, at once
        self.following = self.row + there
        self.next = self.times[self.following]

    def admit_until(self, until: Minutes) -> None:
        """Let in all that have come until then; inf admits none."""
        lanes = np.flatnonzero(self.next <= np.minimum(until, _LAST_MINUTE))
        while lanes.size:
            at = self.following[lanes, None] + _NEXT_FEW
            come = self.times[at] <= np.minimum(until[lanes], _LAST_MINUTE)[:, None]
            counts = come.sum(axis=1)
            self.waiting.admit(self.order[at[come]], np.repeat(lanes, counts), counts, lanes)
            self.following[lanes] += counts
            self.next[lanes] = self.times[self.following[lanes]]
            lanes = lanes[(counts == _LOOKED_AT) & (self.next[lanes] <= until[lanes])]
            lanes = lanes[self.next[lanes] < np.inf]


class Waiting:
    """The jobs that wait, a bit each in order of urgency, in every future."""

    def __init__(self, jobs: int, futures: int) -> None:
        self.words = np.zeros((futures, -(-jobs // _WORD)), dtype=np.uint64)
        self.bits = self.words.reshape(-1)  # the same, to be set in one go
        self.count = np.zeros(futures, dtype=np.int64)
        self.lanes = np.arange(futures)

    def admit(
        self, jobs: Indexes, lanes: Indexes, counts: Indexes, where: Indexes | slice = slice(None)
    ) -> None:
        """These jobs begin to wait, each in its future; `counts`: how many in each of the futures `where`."""
        bits = np.left_shift(_ONE, (jobs % _WORD).astype(np.uint64))
        # Adding is setting here, for none of them waits yet; `at` minds that several are of one word.
        np.add.at(self.bits, lanes * self.words.shape[1] + jobs // _WORD, bits)
        self.count[where] += counts

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
