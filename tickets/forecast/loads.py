"""A station that takes a load at once, an oven for sheets, say: whatever waits and fits goes in together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tickets.forecast.lanes import Doors, FreeHands, Minutes


@dataclass(frozen=True, slots=True)
class Oven:
    """What goes in at once, in the unit of `amounts`, for how long, and how many such there are."""

    load: float
    minutes: float
    count: int = 1


def serve_in_loads(arrivals: Minutes, amounts: Minutes, stretch: Minutes, oven: Oven) -> Minutes:
    """When each job leaves a station that works in loads, in each future.

    arrivals: minutes, shape (jobs, futures), the rows in order of urgency, inf where a job does not come.
    amounts: of each job, shape (jobs,). stretch: how much longer than usual a load takes that begins with the
    job, shape of arrivals. An oven that is free takes at once what waits, the most urgent first, until the
    next does not fit; a job larger than a load takes as many loads as it needs, alone. Returns departures.
    """
    departures = np.full(arrivals.shape, np.inf)
    if not arrivals.size:
        return departures
    doors, free = Doors(arrivals), FreeHands(oven.count, arrivals.shape[1])
    while True:
        start = free.next_free()
        start = np.where(doors.waiting.count == 0, np.maximum(start, doors.next), start)
        doors.admit_until(start)
        first, busy = doors.waiting.take_first()
        if not busy.any():
            return departures
        lanes = np.flatnonzero(busy)
        loads = np.maximum(np.ceil(amounts[first] / oven.load - 1e-9), 1.0)
        until = start + loads * oven.minutes * stretch[first, np.arange(len(first))]
        departures[first[lanes], lanes] = until[lanes]
        room = np.where(busy & (loads == 1), oven.load - amounts[first], -1.0)
        _fill_up(doors, room, amounts, until, departures)
        free.keep_until(lanes, until[lanes])


def _fill_up(doors: Doors, room: Minutes, amounts: Minutes, until: Minutes, departures: Minutes) -> None:
    """Put in what waits and fits, in order of urgency, in all futures that have room left."""
    while True:
        job, there = doors.waiting.first()
        fits = there & (amounts[job] <= room + 1e-9)
        if not fits.any():
            return
        doors.waiting.drop(job, fits)
        lanes = np.flatnonzero(fits)
        departures[job[lanes], lanes] = until[lanes]
        room = np.where(fits, room - amounts[job], -1.0)
