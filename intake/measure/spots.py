"""Found places of all windows gathered into a few ranked spots of the print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from intake.facts import Place, Spot
from intake.measure.runs import NECK, PLACE_SHARE, STROKE, TAPER, Found
from intake.measure.scale import FLAT_PX
from intake.measure.search import FIELD_CELLS
from intake.measure.shortlist import Shortlist

COLUMNS = ("x", "y", "value", "length", "left", "top", "right", "bottom", "kind", "nx", "ny")
NX, NY, PART = 9, 10, 11
MOST_IN_FIELD = 6
MOST_ROWS = 5000  # the thinnest: of a screen's tens of thousands no more are told anyway
ALIKE_PX = (
    0.1  # readings of one line this close to its thinnest are averaged: their scatter is sampling noise
)
Table = NDArray[np.float64]


@dataclass(slots=True)
class Gathered:
    """The found places of one side, in pixels of the whole picture."""

    cell_px: int
    shortlist: Shortlist
    parts: list[Table] = field(default_factory=list)

    def add(self, found: Found, dx: float, dy: float, part: NDArray[np.int64] | None = None) -> None:
        """Take in what a window found; (dx, dy) is where its array begins in the picture.

        `part` numbers the connected part of the ground that each place lies in.
        """
        if not len(found):
            return
        rows = [getattr(found, c).astype(np.float64) for c in COLUMNS]
        rows.append(np.zeros(len(found)) if part is None else part.astype(np.float64))
        table = np.stack(rows)
        table[[0, 4, 6]] += dx
        table[[1, 5, 7]] += dy
        self.parts.append(table)

    def leave_out(self, parts: NDArray[np.bool_]) -> None:
        """Forget the places in the parts that are marked."""
        self.parts = [t[:, ~parts[t[PART].astype(np.int64)]] for t in self.parts]

    def table(self) -> Table:
        """All places worth telling: one row for each of COLUMNS and the part."""
        if not self.parts:
            return np.empty((12, 0))
        table = np.concatenate(self.parts, axis=1)
        table = table[:, table[2] <= self.shortlist.bound]
        if table.shape[1] <= MOST_ROWS:
            return table
        return table[:, np.lexsort((table[0], table[1], table[2]))[:MOST_ROWS]]


def groups_of(table: Table, field: float) -> NDArray[np.int64]:
    """A number for every place, alike for places in nearby fields that lie along one line."""
    column, row = (np.floor(v / field).astype(np.int64) for v in table[:2])
    keys = (row << 32) + column
    order = np.argsort(keys, kind="stable")
    keys, sorted_table = keys[order], table[:, order]
    links = [np.empty((2, 0), np.int64)]
    ways = [(down, right) for down in range(3) for right in range(-2, 3) if down or right >= 0]
    for step in ((down << 32) + right for down, right in ways):
        start = np.searchsorted(keys, keys + step)
        for further in range(MOST_IN_FIELD):
            at = np.minimum(start + further, len(keys) - 1)
            near = np.flatnonzero((keys[at] == keys + step) & (at != np.arange(len(keys))))
            along = _along_one_line(sorted_table[:, near], sorted_table[:, at[near]])
            links.append(np.stack([near[along], at[near[along]]]))
    group = np.empty(len(keys), np.int64)
    group[order] = _united(np.concatenate(links, axis=1), len(keys))
    return group


def _along_one_line(one: Table, other: Table) -> NDArray[np.bool_]:
    """Whether two places lie along one line or arc: what leads on crosses their mean normal."""
    sign = np.sign(one[NX] * other[NX] + one[NY] * other[NY])
    nx, ny = one[NX] + sign * other[NX], one[NY] + sign * other[NY]
    off = np.abs((other[0] - one[0]) * nx + (other[1] - one[1]) * ny) / np.maximum(np.hypot(nx, ny), 1e-9)
    return np.asarray(off <= 0.5 * np.maximum(one[2], other[2]) + 2.0, np.bool_)


def _united(links: NDArray[np.int64], count: int) -> NDArray[np.int64]:
    """For each of so many points the least number of those it is linked with."""
    parent = np.arange(count)
    a, b = links
    while len(a):
        low, high = np.minimum(parent[a], parent[b]), np.maximum(parent[a], parent[b])
        apart = low != high
        a, b, low, high = a[apart], b[apart], low[apart], high[apart]
        np.minimum.at(parent, high, low)
        while (parent[parent] != parent).any():
            parent = parent[parent]
    return parent


def spots_of(gathered: Gathered, is_ink: bool, mm_per_px: float, uncertainty_mm: float) -> list[Spot]:
    """One spot a connected thin place, thinnest first; the box is that of its thinnest, flat part."""
    table = gathered.table()
    counted = table[:, table[8] != TAPER]
    names = {STROKE: "stroke" if is_ink else "gap", NECK: "neck" if is_ink else "gap"}
    return _spots(counted, gathered.cell_px, names, mm_per_px, uncertainty_mm)


def tapers_of(gathered: Gathered, mm_per_px: float, uncertainty_mm: float) -> list[Spot]:
    """Tips that thin out over a run: notes."""
    table = gathered.table()
    return _spots(table[:, table[8] == TAPER], gathered.cell_px, {TAPER: "taper"}, mm_per_px, uncertainty_mm)


def _spots(table: Table, cell: int, names: dict[int, str], mm: float, uncertainty: float) -> list[Spot]:
    if not table.shape[1]:
        return []
    group = groups_of(table, FIELD_CELLS * cell)
    order = np.lexsort((table[0], table[1], table[2], group))
    starts = np.flatnonzero(np.r_[True, group[order][1:] != group[order][:-1]])
    at, thinnest = table[:2, order[starts]], table[2, order[starts]]
    which = np.searchsorted(starts, np.arange(len(order)), side="right") - 1
    rows = table[:, order]
    flat = rows[2] <= (thinnest * (1 + PLACE_SHARE) + FLAT_PX)[which]
    alike = rows[2] <= thinnest[which] + ALIKE_PX
    value = np.add.reduceat(np.where(alike, rows[2], 0), starts) / np.add.reduceat(
        alike.astype(float), starts
    )
    left, top = (np.minimum.reduceat(np.where(flat, rows[k], np.inf), starts) for k in (4, 5))
    right, bottom = (np.maximum.reduceat(np.where(flat, rows[k], -np.inf), starts) for k in (6, 7))
    long = np.maximum.reduceat(np.where(flat, rows[3], 0), starts)
    long = np.maximum(long, (np.hypot(right - left, bottom - top) - value) * (rows[8, starts] == STROKE))
    spots = [
        Spot(
            value_mm=float(value[i] * mm),
            uncertainty_mm=uncertainty,
            place=replace(
                place_of(left[i], top[i], right[i], bottom[i], mm),
                at_mm=(float((at[0, i] + 0.5) * mm), float((at[1, i] + 0.5) * mm)),
            ),
            length_mm=float(long[i] * mm),
            kind=names[int(rows[8, starts[i]])],
        )
        for i in range(len(starts))
    ]
    return sorted(spots, key=ranked)


def place_of(left: float, top: float, right: float, bottom: float, mm: float) -> Place:
    """A box given by pixel centres' coordinates (the first pixel's centre is 0) as a place in mm."""
    x, y = (left + 0.5) * mm, (top + 0.5) * mm
    return Place(float(x), float(y), float((right - left) * mm), float((bottom - top) * mm))


def box_place(box: Sequence[int], mm: float) -> Place:
    """A box of whole pixels (left, top, right, bottom; the last two beyond it) as a place in mm."""
    left, top, right, bottom = box
    return place_of(left - 0.5, top - 0.5, right - 0.5, bottom - 0.5, mm)


def ranked(spot: Spot) -> tuple[float, float, float]:
    """Thinnest first; what differs by less than a nanometre is ranked by place."""
    return round(spot.value_mm, 6), round(spot.place.y_mm, 6), round(spot.place.x_mm, 6)
