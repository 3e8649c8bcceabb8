"""Colours are split into cyan, magenta, yellow and black by the plain conversion, on the inked area alone."""

from __future__ import annotations

import numpy as np
import pytest

from intake.measure.inkshares import mean_cmyk

# Worked by hand from c = 1 − r and so on, k = min(c, m, y), c − k (ISO 32000-1, 10.3.4, from memory).
COLOURS = [
    ((255, 0, 0), (0, 1, 1, 0)),
    ((0, 255, 255), (1, 0, 0, 0)),
    ((0, 0, 0), (0, 0, 0, 1)),
    ((255, 255, 255), (0, 0, 0, 0)),
    ((51, 102, 153), (0.4, 0.2, 0, 0.4)),
]


@pytest.mark.parametrize(("rgb", "cmyk"), COLOURS)
def test_one_colour_is_split_as_the_standard_says(
    rgb: tuple[int, int, int], cmyk: tuple[float, float, float, float]
) -> None:
    """Whatever lies under clear film does not count."""
    picture = np.zeros((8, 8, 4), np.uint8)
    picture[:4] = (*rgb, 255)
    picture[4:, :, 0] = 77
    assert mean_cmyk(picture) == pytest.approx(cmyk, abs=1e-6)


def test_two_colours_are_weighed_by_their_area() -> None:
    """A quarter black, three quarters yellow."""
    picture = np.full((4, 4, 4), 255, np.uint8)
    picture[:, :, 2] = 0
    picture[0, :, :3] = 0
    assert mean_cmyk(picture) == pytest.approx((0, 0, 0.75, 0.25))


def test_nothing_inked_has_no_shares() -> None:
    """Clear film is no colour, not white."""
    assert mean_cmyk(np.zeros((4, 4, 4), np.uint8)) is None
