"""Colours that vanish on the garment: how much, where, and whether other colours lie beside them."""

from __future__ import annotations

import numpy as np
import pytest

from tests.intake.measure.looked import MM_A_PX, clear, measured

NAVY, GARMENT, GOLD = (16, 33, 63, 255), "#14254a", (230, 180, 40, 255)


def two_bars(gap_px: int) -> np.ndarray:
    """A golden bar, and a navy one so far under it."""
    picture = clear()
    picture[100:200, 100:600] = GOLD
    picture[200 + gap_px : 230 + gap_px, 100:600] = NAVY
    return picture


def test_a_navy_bar_on_navy_is_measured() -> None:
    """Its area to the pixel, its place to a cell, alone when other ink is far."""
    gone = measured(two_bars(80), GARMENT).vanishing
    assert gone is not None
    assert gone.area_mm2 == pytest.approx(30 * 500 * MM_A_PX**2, rel=1e-6)
    assert gone.alone_mm2 == pytest.approx(gone.area_mm2, rel=1e-6)
    assert gone.ink_mm2 == pytest.approx(130 * 500 * MM_A_PX**2, rel=1e-6)
    assert gone.difference < 4
    (place,) = gone.places
    cell = 8 * MM_A_PX
    assert (place.x_mm, place.y_mm) == pytest.approx((100 * MM_A_PX, 280 * MM_A_PX), abs=cell)
    assert place.width_mm == pytest.approx(500 * MM_A_PX, abs=2 * cell)


def test_beside_another_colour_it_does_not_stand_alone() -> None:
    """Under a golden bar the cloth shows as a colour of the art."""
    gone = measured(two_bars(0), GARMENT).vanishing
    assert gone is not None
    assert gone.alone_mm2 == 0
    assert gone.places


@pytest.mark.parametrize("garment", ["#ffffff", "#7a7a7a", "#000000", "#5a0f1a"])
def test_on_other_garments_nothing_vanishes(garment: str) -> None:
    """Gold and navy show on white, grey, black and dark red."""
    assert measured(two_bars(80), garment).vanishing is None


def test_half_clear_ink_is_judged_as_it_lies_on_the_cloth() -> None:
    """A colour that shows by itself may vanish when it is laid on thinly."""
    picture = clear()
    picture[100:200, 100:600] = (0, 0, 0, 255)
    picture[300:400, 100:600] = (52, 52, 52, 200)
    gone = measured(picture, "#2a2a2a").vanishing
    assert gone is not None
    assert gone.area_mm2 == pytest.approx(100 * 500 * MM_A_PX**2, rel=1e-6)


def test_without_a_garment_nothing_is_told() -> None:
    """Transfers have none."""
    assert measured(two_bars(80)).vanishing is None
