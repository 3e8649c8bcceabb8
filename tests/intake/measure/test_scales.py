"""Whatever the picture and however large it is printed, measuring it ends with an answer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.facts import Ask
from intake.measure import measure_ink
from tests.intake.measure.truth.scoring import black_on_clear


@settings(max_examples=120, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 2**32 - 1), st.floats(0.004, 12.0), st.integers(1, 60), st.integers(1, 60))
def test_small_pictures_are_measured_at_any_size(seed: int, mm_per_px: float, wide: int, high: int) -> None:
    """Found with a small picture printed large: a search began before the start of its track."""
    rng = np.random.default_rng(seed)
    cover = rng.integers(0, 256, (high, wide)) * (rng.random((high, wide)) < rng.choice([0.1, 0.4, 0.9]))
    if rng.random() < 0.5:
        cover = np.where(cover > 127, 255, 0)
    found = measure_ink(black_on_clear(cover.astype(np.uint8)), mm_per_px, Ask())
    assert all(spot.value_mm >= 0 for spot in (*found.thin_lines, *found.thin_gaps))


@pytest.mark.parametrize("ppi", [2, 5, 10, 20, 40, 72])
def test_a_line_of_few_pixels_is_measured_at_a_few_pixels_an_inch(ppi: int) -> None:
    """At so few pixels an inch a line of one pixel is wide: it is no thin line, and no fault."""
    cover = np.zeros((40, 40), np.uint8)
    cover[20, 4:36] = 255
    cover[4:36, 12:15] = 255
    found = measure_ink(black_on_clear(cover), 25.4 / ppi, Ask())
    assert all(spot.value_mm <= 25.4 / ppi * 1.5 for spot in found.thin_lines)
