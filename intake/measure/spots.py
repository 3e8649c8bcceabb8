"""Found places of all windows gathered into a few ranked spots of the print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from intake.facts import Place, Spot
from intake.measure.runs import NECK, PLACE_SHARE, STROKE, TAPER, Found
from intake.measure.scale import FLAT_PX
from intake.measure.search import Shortlist

COLUMNS = ("x", "y", "value", "length", "left", "top", "right", "bottom")
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
        rows = [getattr(found, c).astype(np.float64) for c in COLUMNS] + [found.kind.astype(np.float64)]
        rows.append(np.zeros(len(found)) if part is None else part.astype(np.float64))
        table = np.stack(rows)
        table[[0, 4, 6]] += dx
        table[[1, 5, 7]] += dy
        self.parts.append(table)

    def leave_out(self, parts: NDArray[np.bool_]) -> None:
        """Forget the places in the parts that are marked."""
        self.parts = [t[:, ~parts[t[9].astype(np.int64)]] for t in self.parts]

    def table(self) -> Table:
        """All places worth telling: x, y, value, length, left, top, right, bottom, kind, part."""
        if not self.parts:
            return np.empty((10, 0))
        table = np.concatenate(self.parts, axis=1)
        return table[:, table[2] <= self.shortlist.bound]


def groups_of(x: Table, y: Table, cell: float) -> NDArray[np.int64]:
    """A number for every point, alike for points in touching cells, the smallest index of the group."""
    keys = (np.floor(y / cell).astype(np.int64) << 32) + np.floor(x / cell).astype(np.int64)
    cells, of_point = np.unique(keys, return_inverse=True)
    parent = np.arange(len(cells))
    links = []
    for step in (1, (1 << 32) - 1, 1 << 32, (1 << 32) + 1):
        at = np.searchsorted(cells, cells + step)
        hit = (at < len(cells)) & (cells[np.minimum(at, len(cells) - 1)] == cells + step)
        links.append(np.stack([np.flatnonzero(hit), at[hit]]))
    a, b = np.concatenate(links, axis=1)
    while len(a):
        low, high = np.minimum(parent[a], parent[b]), np.maximum(parent[a], parent[b])
        apart = low != high
        a, b, low, high = a[apart], b[apart], low[apart], high[apart]
        np.minimum.at(parent, high, low)
        while (parent[parent] != parent).any():
            parent = parent[parent]
    return np.asarray(parent[of_point.reshape(-1)], np.int64)


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
    group = groups_of(table[0], table[1], cell)
    order = np.lexsort((table[0], table[1], table[2], group))
    starts = np.flatnonzero(np.r_[True, group[order][1:] != group[order][:-1]])
    thinnest = table[2, order[starts]]
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
            place=place_of(left[i], top[i], right[i], bottom[i], mm),
            length_mm=float(long[i] * mm),
            kind=names[int(rows[8, starts[i]])],
        )
        for i in range(len(starts))
    ]
    return sorted(spots, key=lambda s: (s.value_mm, s.place.y_mm, s.place.x_mm))


def place_of(left: float, top: float, right: float, bottom: float, mm: float) -> Place:
    """A box given by pixel centres' coordinates (the first pixel's centre is 0) as a place in mm."""
    x, y = (left + 0.5) * mm, (top + 0.5) * mm
    return Place(float(x), float(y), float((right - left) * mm), float((bottom - top) * mm))


def box_place(box: Sequence[int], mm: float) -> Place:
    """A box of whole pixels (left, top, right, bottom; the last two beyond it) as a place in mm."""
    left, top, right, bottom = box
    return place_of(left - 0.5, top - 0.5, right - 0.5, bottom - 0.5, mm)
