"""Stray dots far from everything else: dust of a scan, a slip of the eraser, a forgotten haze."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from intake.facts import Specks, Spot
from intake.measure.bytewise import Bytes
from intake.measure.cells import Group, Sums, cell_px, groups, peaks_by, sums_by

CELL_MM = 0.7  # stray: at least so far from any other ink
TRACE = 8  # coverage from which something is printed at all: a power of two, see `_cells_with_ink`
FULL_ENOUGH = 40  # from here on the measuring of separate dots sees it too
MOST_PLACES = 40


class SpeckWatch:
    """Looks at coverage (0–255) as it passes by and tells what lies alone and is tiny."""

    def __init__(self, mm_per_px: float) -> None:
        self._mm = mm_per_px
        self._side = cell_px(mm_per_px, CELL_MM)
        self._side_mm = self._side * mm_per_px
        self._rows: list[tuple[NDArray[np.bool_], Sums, Sums]] = []  # with ink; its amount; its highest
        self._rest: Bytes | None = None

    def passing(self, bands: Iterable[Bytes]) -> Iterator[Bytes]:
        """The same bands, looked at on the way."""
        for band in bands:
            self._add(band)
            yield band

    def _add(self, values: Bytes) -> None:
        if self._rest is not None:
            values = np.concatenate([self._rest, values])
        whole = values.shape[0] // self._side * self._side
        if whole:
            self._look_at(values[:whole])
        self._rest = values[whole:].copy() if whole < values.shape[0] else None

    def _look_at(self, values: Bytes) -> None:
        """Note where ink is, and how much where it is little: a dot alone is seen to be alone in any part."""
        seen = _cells_with_ink(values, self._side)
        amount, peak = np.zeros(seen.shape), np.zeros(seen.shape)
        labels, found = groups(seen)
        few = np.zeros(len(found) + 1, bool)
        few[[g.label for g in found if _is_little(g)]] = True
        rows, columns = np.nonzero(few[labels])
        if len(rows):
            side = self._side
            whole = np.pad(values, ((0, 0), (0, -values.shape[1] % side)))
            cells = whole.reshape(seen.shape[0], side, seen.shape[1], side)[rows, :, columns]
            amount[rows, columns] = cells.sum(axis=(1, 2)) / 255.0
            peak[rows, columns] = cells.max(axis=(1, 2))
        self._rows.append((seen, amount, peak))

    def _summed_up(self) -> tuple[NDArray[np.bool_], Sums, Sums]:
        if self._rest is not None:
            high = self._side - self._rest.shape[0]
            self._look_at(np.pad(self._rest, ((0, high), (0, 0))))
            self._rest = None
        if not self._rows:
            return np.zeros((0, 0), bool), np.zeros((0, 0)), np.zeros((0, 0))
        seen, amount, peak = (np.concatenate(parts) for parts in zip(*self._rows, strict=True))
        return seen, amount, peak

    def finished(self, limit_mm: float) -> Specks | None:
        """The stray dots of a smaller diameter than the limit; None when there are none.

        The diameter is that of a disc of the same covered area: so small a thing has no shape.
        """
        seen, amount, peak = self._summed_up()
        if not seen.any():
            return None
        labels, found = groups(seen)
        area = sums_by(labels, amount, len(found)) * self._mm**2
        is_solid = peaks_by(labels, peak, len(found)) >= FULL_ENOUGH
        small = pi / 4 * limit_mm**2
        rows, columns = seen.shape
        stray = [
            g for g in found if _is_little(g) and area[g.label] < small and not _is_cut_off(g, rows, columns)
        ]
        if not stray or len(stray) == len(found):
            return None  # nothing but dots: they are the art
        stray.sort(key=lambda group: float(area[group.label]))
        spots = [
            Spot(sqrt(4 * float(area[g.label]) / pi), self._mm / 2, g.place(self._side_mm), kind="speck")
            for g in stray[:MOST_PLACES]
        ]
        return Specks(
            count=len(stray),
            solid_count=int(np.count_nonzero(is_solid[[g.label for g in stray]])),
            area_mm2=float(sum(area[g.label] for g in stray)),
            spots=tuple(spots),
        )


def _cells_with_ink(values: Bytes, side: int) -> NDArray[np.bool_]:
    """Which cells hold a value of TRACE or more: bits of all their values at once tell it."""
    rows = values.shape[0] // side
    bits = np.bitwise_or.reduce(values.reshape(rows, side, -1), axis=1)
    wide = -bits.shape[1] % side
    bits = np.pad(bits, ((0, 0), (0, wide))) & np.uint8(256 - TRACE)
    columns = bits.shape[1] // side
    if side >= 8:
        words = bits.view(np.uint64).reshape(rows, columns, side // 8)
        return np.asarray(np.bitwise_or.reduce(words, axis=2) != 0, np.bool_)
    return np.asarray(bits.reshape(rows, columns, side).any(axis=2), np.bool_)


def _is_little(group: Group) -> bool:
    """Whether it spans no more cells than a stray dot may."""
    return group.wide <= 2 and group.high <= 2


def _is_cut_off(group: Group, rows: int, columns: int) -> bool:
    """Whether it touches the canvas's edge: the rest of it may lie beyond."""
    return (
        min(group.left, group.top) == 0
        or group.left + group.wide >= columns
        or group.top + group.high >= rows
    )
