"""A picture's masks summed up in square cells of about a millimetre, and groups of cells that touch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.facts import Place
from intake.measure.bytewise import Bytes

LARGEST_PX = 64  # bands are a multiple of it high
Sums = NDArray[np.float64]


def cell_px(mm_per_px: float, cell_mm: float) -> int:
    """The side of a cell: a power of two of pixels, the nearest below `cell_mm`, at most LARGEST_PX."""
    wanted = max(cell_mm / mm_per_px, 1.0)
    return int(min(2 ** int(np.log2(wanted)), LARGEST_PX))


def reaching(values: Bytes, level: int) -> Bytes:
    """255 where the values reach the level, else 0; for arrays of any size."""
    return (values >= level).view(np.uint8) * np.uint8(255)


class CellSums:
    """Takes masks or values band by band and keeps their sum in each cell."""

    def __init__(self, side_px: int) -> None:
        self.side_px = side_px
        self._rows: list[Sums] = []
        self._rest: Bytes | None = None

    def add(self, values: Bytes) -> None:
        """Take the next band (0–255)."""
        if self._rest is not None:
            values = np.concatenate([self._rest, values])
        whole = values.shape[0] // self.side_px * self.side_px
        if whole:
            self._rows.append(self._summed(values[:whole]))
        self._rest = values[whole:].copy() if whole < values.shape[0] else None

    def finished(self) -> Sums:
        """The sums, one a cell, in units of 255."""
        if self._rest is not None:
            high = self.side_px - self._rest.shape[0]
            self._rows.append(self._summed(np.pad(self._rest, ((0, high), (0, 0)))))
            self._rest = None
        return np.concatenate(self._rows) if self._rows else np.zeros((0, 0))

    def _summed(self, values: Bytes) -> Sums:
        side = self.side_px
        wide = -values.shape[1] % side
        if wide:
            values = np.pad(values, ((0, 0), (0, wide)))
        rows, columns = values.shape[0] // side, values.shape[1] // side
        mean = cv2.resize(values.astype(np.float32), (columns, rows), interpolation=cv2.INTER_AREA)
        return np.asarray(mean, np.float64).reshape(rows, columns) * (side * side / 255.0)


@dataclass(frozen=True, slots=True)
class Group:
    """Cells that touch: their numbers, and the box that they span (cells)."""

    label: int
    left: int
    top: int
    wide: int
    high: int

    def place(self, side_mm: float) -> Place:
        """The box on the print."""
        return Place(self.left * side_mm, self.top * side_mm, self.wide * side_mm, self.high * side_mm)


def groups(mask: NDArray[np.bool_]) -> tuple[NDArray[np.int32], list[Group]]:
    """(the label of each cell, the groups): cells that touch, corners too."""
    number, labels, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    found = [Group(k, *(int(v) for v in stats[k][:4])) for k in range(1, number)]
    return np.asarray(labels, np.int32), found


def sums_by(labels: NDArray[np.int32], values: Sums, number: int) -> Sums:
    """The sum of the values of each group, by label."""
    summed = np.bincount(labels.ravel(), weights=values.ravel(), minlength=number + 1)
    return np.asarray(summed, np.float64)


def peaks_by(labels: NDArray[np.int32], values: Sums, number: int) -> Sums:
    """The highest value of each group, by label."""
    peaks = np.zeros(number + 1)
    np.maximum.at(peaks, labels.ravel(), values.ravel())
    return peaks


def largest_first(found: list[Group], size: Sums) -> Iterator[Group]:
    """The groups by a size, largest first."""
    yield from sorted(found, key=lambda group: -float(size[group.label]))
