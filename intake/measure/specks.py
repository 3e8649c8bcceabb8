"""Stray dots far from everything else: dust of a scan, a slip of the eraser, a forgotten haze."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import pi, sqrt

import numpy as np

from intake.facts import Specks, Spot
from intake.measure.bytewise import Bytes
from intake.measure.cells import CellSums, Group, cell_px, groups, peaks_by, reaching, sums_by

CELL_MM = 0.7  # stray: at least so far from any other ink
TRACE = 8  # coverage from which something is printed at all
FULL_ENOUGH = 40  # from here on the measuring of separate dots sees it too
MOST_PLACES = 40


class SpeckWatch:
    """Looks at coverage (0–255) as it passes by and tells what lies alone and is tiny."""

    def __init__(self, mm_per_px: float) -> None:
        self._mm = mm_per_px
        side = cell_px(mm_per_px, CELL_MM)
        self._amount, self._seen, self._solid = CellSums(side), CellSums(side), CellSums(side)
        self._side_mm = side * mm_per_px

    def passing(self, bands: Iterable[Bytes]) -> Iterator[Bytes]:
        """The same bands, looked at on the way."""
        for band in bands:
            self._amount.add(band)
            self._seen.add(reaching(band, TRACE))
            self._solid.add(reaching(band, FULL_ENOUGH))
            yield band

    def finished(self, limit_mm: float) -> Specks | None:
        """The stray dots of a smaller diameter than the limit; None when there are none.

        The diameter is that of a disc of the same covered area: so small a thing has no shape.
        """
        amount, seen, solid = self._amount.finished(), self._seen.finished(), self._solid.finished()
        if not amount.size or not seen.any():
            return None
        labels, found = groups(seen > 0)
        area = sums_by(labels, amount, len(found)) * self._mm**2
        is_solid = peaks_by(labels, solid, len(found)) > 0
        small = pi / 4 * limit_mm**2
        rows, columns = seen.shape
        stray = [
            g
            for g in found
            if g.wide <= 2 and g.high <= 2 and area[g.label] < small and not _is_cut_off(g, rows, columns)
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


def _is_cut_off(group: Group, rows: int, columns: int) -> bool:
    """Whether it touches the canvas's edge: the rest of it may lie beyond."""
    return (
        min(group.left, group.top) == 0
        or group.left + group.wide >= columns
        or group.top + group.high >= rows
    )
