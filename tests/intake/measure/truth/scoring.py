"""Draws a case, measures it, and says how far off the answer is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.facts import Ask, InkMeasures
from intake.measure import measure_ink
from tests.intake.measure.truth.renderers import render, sheet_for
from tests.intake.measure.truth.shapes import Case

Bytes = NDArray[np.uint8]


class ArrayPixels:
    """Pixels of an RGBA array in memory."""

    def __init__(self, rgba: Bytes, has_alpha: bool = True, lossy: bool = False) -> None:
        self.rgba = np.ascontiguousarray(rgba)
        self.height, self.width = self.rgba.shape[:2]
        self.has_alpha, self.lossy = has_alpha, lossy
        self.passes = 0

    def bands(self, rows: int) -> Iterator[Bytes]:
        """Bands of at most so many rows."""
        self.passes += 1
        for y in range(0, self.height, rows):
            yield self.rgba[y : y + rows]


def black_on_clear(cover: Bytes) -> ArrayPixels:
    """Black ink of the given coverage on a transparent canvas."""
    rgba = np.zeros((*cover.shape, 4), np.uint8)
    rgba[..., 3] = cover
    return ArrayPixels(rgba)


@dataclass(frozen=True)
class Score:
    """One measured case: errors in mm; NaN where the case has no such truth; missed: not found at all."""

    case: Case
    renderer: str
    ppi: float
    is_smooth: bool
    measures: InkMeasures
    line_error: float
    gap_error: float
    place_error: float
    missed: bool
    alarms: int


def draw(case: Case, renderer: str, ppi: float, is_smooth: bool) -> tuple[Bytes, float]:
    """Coverage of the case and its mm a pixel."""
    sheet = sheet_for(case.width_mm, case.height_mm, ppi)
    cover = render(case.shape, sheet, renderer, is_smooth)
    if case.soft_px:
        cover = np.asarray(cv2.GaussianBlur(cover, (0, 0), case.soft_px), np.uint8)
    return cover, sheet.mm_per_px


def score(case: Case, renderer: str, ppi: float, is_smooth: bool = True) -> Score:
    """Measure one drawing of the case against its vectors."""
    cover, mm = draw(case, renderer, ppi, is_smooth)
    ask = Ask(line_mm=case.limit_mm, gap_mm=case.limit_mm)
    found = measure_ink(black_on_clear(cover), mm, ask)
    line, gap = found.thinnest_line, found.thinnest_gap
    line_error = line.value_mm - case.line_mm if case.line_mm and line else np.nan
    gap_error = gap.value_mm - case.gap_mm if case.gap_mm and gap else np.nan
    missed = bool((case.line_mm and not line) or (case.gap_mm and not gap))
    spot = line if case.line_mm else gap
    place_error = np.nan
    if case.place_mm and spot:
        p = spot.place
        centre = (p.x_mm + p.width_mm / 2, p.y_mm + p.height_mm / 2)
        place_error = float(np.hypot(centre[0] - case.place_mm[0], centre[1] - case.place_mm[1]))
    return Score(
        case,
        renderer,
        ppi,
        is_smooth,
        found,
        line_error,
        gap_error,
        place_error,
        missed,
        alarms_of(case, found),
    )


def alarms_of(case: Case, found: InkMeasures) -> int:
    """How many things were reported below the limit that the case does not have."""
    lines = 0 if case.line_mm or case.island_mm or case.tags.get("gaps_only") else len(found.thin_lines)
    gaps = 0 if case.gap_mm or case.island_mm else len(found.thin_gaps)
    islands = 0 if case.line_mm or case.island_mm or case.tags.get("gaps_only") else found.island_count
    return lines + gaps + islands
