"""A waist is read as it was before a pixel blurred it, whatever its sides are like."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from intake.measure.waists import has_sides, waist_of

Array = NDArray[np.float64]
T = np.arange(-8.0, 8.01, 0.5, dtype=np.float32)
FINE = np.arange(-12.0, 12.0, 0.01)


def blurred(width: Array) -> NDArray[np.float32]:
    """What chords read: the mean over a pixel and over the way between two pixels (a box and a tent)."""
    box = np.ones(100) / 100
    kernel = np.convolve(box, np.convolve(box, box))
    smooth = np.convolve(width, kernel, mode="same")
    return np.interp(T, FINE, smooth).astype(np.float32)[:, None]


def read(width: Array) -> float:
    """The waist that is told of a profile in px."""
    w = blurred(width)
    least = w.argmin(axis=0)
    assert has_sides(T, w, least).all()
    value, fits = waist_of(T, w, least)
    assert fits.all()
    return float(value[0])


@pytest.mark.parametrize("slope", [0.8, 1.5, 2.5])
@pytest.mark.parametrize("width", [1.5, 3.0, 8.0])
def test_wedges_tip_to_tip_are_read_where_they_meet(width: float, slope: float) -> None:
    """Straight sides that meet in a point: right to an eighth of a pixel; what is read is up to one off."""
    assert read(width + slope * np.abs(FINE - 0.2)) == pytest.approx(width, abs=0.12)


@pytest.mark.parametrize("long", [1.0, 2.0, 4.0])
@pytest.mark.parametrize("width", [1.6, 2.5, 4.0])
def test_a_short_bar_between_discs_is_read_although_the_discs_blur_into_it(width: float, long: float) -> None:
    """Discs of 8 px joined by a bar as short as a pixel: within a quarter of a pixel."""
    radius = 8.0
    depth = np.maximum(np.abs(FINE) - long / 2, 0) + radius - np.sqrt(radius**2 - (width / 2) ** 2)
    disc = 2 * np.sqrt(np.maximum(radius**2 - (radius - np.minimum(depth, radius)) ** 2, 0))
    assert read(np.maximum(width, disc)) == pytest.approx(width, abs=0.25)


def test_a_slow_taper_has_no_sides_and_is_left_as_it_was_read() -> None:
    """What hardly widens within the profile is not blurred either."""
    w = blurred(3.0 + 0.01 * FINE**2)
    assert not has_sides(T, w, w.argmin(axis=0)).any()
