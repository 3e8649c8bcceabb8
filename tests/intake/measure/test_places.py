"""Every place that the measuring tells is a place: a box of finite numbers on the canvas."""

from __future__ import annotations

from math import isfinite
from pathlib import Path

import cv2
import numpy as np
import pytest

from intake.facts import Ask
from intake.measure import measure_with_picture
from tests.bench.measure_art import make_logo
from tests.intake.measure.looked import MM_A_PX, Held


@pytest.mark.parametrize("number", [281, 392])
def test_every_place_told_is_finite(tmp_path: Path, number: int) -> None:
    """However shapes overlap, no place is infinite: an answer that held one could not be written down."""
    logo = cv2.imread(str(make_logo(tmp_path, number, 1000, 2.0)), cv2.IMREAD_UNCHANGED)
    found = measure_with_picture(Held(np.asarray(logo, np.uint8)), MM_A_PX, Ask())[0]
    spots = (*found.thin_lines, *found.thin_gaps, *found.islands, *found.tapers)
    assert len(spots) > 20
    for spot in spots:
        place = spot.place
        told = (spot.value_mm, spot.length_mm, place.x_mm, place.y_mm, place.width_mm, place.height_mm)
        assert all(isfinite(number) for number in told)
        assert place.width_mm > 0
        assert place.height_mm > 0
