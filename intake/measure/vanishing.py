"""Parts of the art that all but vanish on the garment: their colour hardly differs from the cloth's."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.facts import Place, Vanishing
from intake.measure.bytewise import Bytes, channel, count
from intake.measure.cells import CellSums, Group, cell_px, groups, largest_first, reaching, sums_by
from intake.measure.ciede import ciede2000, lab_of

STEPS = 64  # of each channel: a colour is known to two of 255
INKED = 192  # alpha from here on: the rim of a shape is left out
CELL_MM = 1.0
BESIDE_SHARE = 0.25  # so much other ink, next to a part, for the cloth to show as a colour of the art
LEAST_CELL = 0.02  # of a cell covered by the part
MOST_PLACES = 40


class GarmentWatch:
    """Takes bands of straight RGBA and compares every colour, laid over the garment, with the garment."""

    def __init__(self, garment: str, limit_de: float, mm_per_px: float) -> None:
        self._garment = np.array([int(garment[k : k + 2], 16) for k in (1, 3, 5)], np.float64)
        self._lab = lab_of(self._garment)
        self._limit = limit_de
        self._mm = mm_per_px
        self._known = np.zeros(STEPS**3, bool)
        self._near = np.zeros(STEPS**3, np.uint8)
        self._histogram = np.zeros(STEPS**3, np.int64)
        side = cell_px(mm_per_px, CELL_MM)
        self._gone, self._shown = CellSums(side), CellSums(side)
        self._side_mm = side * mm_per_px
        self._inked = 0

    def add(self, band: Bytes) -> None:
        """Take the next band."""
        alpha = channel(band, 3)
        inked = reaching(alpha, INKED)
        number = count(inked)
        self._inked += number
        if number:
            at = self._steps(band, alpha)
            self._learn(at[inked != 0])
            gone = self._near[at] & inked
            self._histogram += np.bincount(at[gone != 0], minlength=STEPS**3)
        else:
            gone = inked
        self._gone.add(gone)
        self._shown.add(inked - gone)

    def _steps(self, band: Bytes, alpha: Bytes) -> NDArray[np.int32]:
        """The table step of each pixel's colour; half-clear ones laid over the garment first."""
        red, green, blue = (band[..., k].astype(np.int32) >> 2 for k in range(3))
        at = red << 12 | green << 6 | blue
        thin = (alpha >= INKED) & (alpha < 250)
        if thin.any():
            share = alpha[thin].astype(np.float64)[:, None] / 255.0
            mixed = (band[thin][:, :3] * share + self._garment * (1 - share)).astype(np.int32) >> 2
            at[thin] = mixed[:, 0] << 12 | mixed[:, 1] << 6 | mixed[:, 2]
        return at

    def _learn(self, at: NDArray[np.int32]) -> None:
        fresh = np.unique(at[~self._known[at]])
        if len(fresh):
            self._near[fresh] = np.where(self._differences(fresh) < self._limit, 255, 0)
            self._known[fresh] = True

    def _differences(self, at: NDArray[np.int32]) -> NDArray[np.float64]:
        return ciede2000(lab_of(_colours(at)), self._lab)

    def finished(self) -> Vanishing | None:
        """What vanishes; None when nothing does."""
        total = int(self._histogram.sum())
        if not total:
            return None
        gone, shown = self._gone.finished(), self._shown.finished()
        side_px = self._gone.side_px
        labels, found = groups(gone > LEAST_CELL * side_px**2)
        if not found:
            return None
        size = sums_by(labels, gone, len(found))
        beside = size * 0
        for group in found[:2000]:
            window = np.s_[
                max(group.top - 1, 0) : group.top + group.high + 1,
                max(group.left - 1, 0) : group.left + group.wide + 1,
            ]
            beside[group.label] = shown[window].sum()
        alone = [group for group in found if beside[group.label] < BESIDE_SHARE * size[group.label]]
        first = list(largest_first(alone, size))
        rest = list(largest_first([group for group in found if group not in alone], size))
        used = np.flatnonzero(self._histogram)
        main = used[self._histogram[used].argmax()]
        mean = self._histogram[used] @ self._differences(used.astype(np.int32)) / total
        area = self._mm**2
        return Vanishing(
            colour="#{:02x}{:02x}{:02x}".format(*(int(v) for v in _colours(np.array([main]))[0])),
            difference=float(mean),
            area_mm2=total * area,
            alone_mm2=float(sum(size[group.label] for group in alone)) * area,
            ink_mm2=self._inked * area,
            places=self._places(first or rest),
            alone_count=len(alone),
        )

    def _places(self, found: list[Group]) -> tuple[Place, ...]:
        return tuple(group.place(self._side_mm) for group in found[:MOST_PLACES])


def _colours(at: NDArray[np.int64] | NDArray[np.int32]) -> NDArray[np.float64]:
    """The colours in the middle of table steps; black stays black, white white."""
    steps = np.stack([at >> 12, at >> 6 & 63, at & 63], axis=1)
    return np.asarray(steps * (255.0 / 63.0), np.float64)
