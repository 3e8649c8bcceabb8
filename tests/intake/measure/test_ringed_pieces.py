"""Small pieces with a hole in them: the middle of a letter o is clear, and no measure of its ink."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from intake.facts import Ask
from intake.measure import measure_ink

MM_PER_PX = 25.4 / 300


class Drawn:
    """An array as pixels."""

    has_alpha, lossy = True, False

    def __init__(self, rgba: NDArray[np.uint8]) -> None:
        self._rgba = rgba
        self.height, self.width = rgba.shape[:2]

    def bands(self, rows: int) -> Iterator[NDArray[np.uint8]]:
        """Bands of so many rows."""
        for top in range(0, self.height, rows):
            yield np.ascontiguousarray(self._rgba[top : top + rows])


def ring(stroke_px: int, *, is_hole: bool, radius_px: int = 6) -> Drawn:
    """A ring beside a large disc, drawn eight times as large; or the same as holes in a plate."""
    large = np.zeros((200 * 8, 300 * 8), np.uint8)
    cv2.circle(large, (60 * 8, 60 * 8), radius_px * 8 - stroke_px * 4, 255, stroke_px * 8)
    cv2.circle(large, (200 * 8, 100 * 8), 40 * 8, 255, cv2.FILLED)
    cover = cv2.resize(large, (300, 200), interpolation=cv2.INTER_AREA)
    if is_hole:
        cover = cv2.copyMakeBorder(255 - cover, 20, 20, 20, 20, cv2.BORDER_CONSTANT, value=0)
    rgba = np.zeros((*cover.shape, 4), np.uint8)
    rgba[..., 3] = cover
    return Drawn(rgba)


@pytest.mark.parametrize("stroke_px", [2, 3])
def test_a_small_ring_is_as_wide_as_its_stroke(stroke_px: int) -> None:
    """Its inscribed diameter is the stroke's, never that of the clear middle."""
    ink = measure_ink(ring(stroke_px, is_hole=False), MM_PER_PX, Ask())
    told = [spot.value_mm for spot in (*ink.islands, *ink.thin_lines)]
    assert told
    assert min(told) == pytest.approx(stroke_px * MM_PER_PX, abs=0.06)


def test_a_ring_of_clear_ground_is_as_wide_as_its_gap() -> None:
    """The same as a hole in ink: the gap is the ring's, never that of the ink in its middle."""
    ink = measure_ink(ring(3, is_hole=True, radius_px=12), MM_PER_PX, Ask())
    assert ink.thinnest_gap is not None
    assert ink.thinnest_gap.value_mm == pytest.approx(3 * MM_PER_PX, abs=0.06)
