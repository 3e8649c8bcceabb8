"""Stray dots: found however faint, told apart from dots of the art."""

from __future__ import annotations

import numpy as np
import pytest

from tests.intake.measure.looked import MM_A_PX, clear, cover_of_blobs, measured, painted


def with_dots(*dots: tuple[int, int, int, int]) -> np.ndarray:
    """Blobs with squares beside them: x, y, side in px, alpha."""
    picture = painted(cover_of_blobs(), (200, 30, 40))
    for x, y, side, alpha in dots:
        picture[y : y + side, x : x + side] = (90, 90, 90, alpha)
    return picture


@pytest.mark.parametrize("alpha", [255, 120, 20])
def test_a_stray_dot_is_found_with_its_place_and_size(alpha: int) -> None:
    """Solid or faint, far from everything else."""
    specks = measured(with_dots((640, 560, 2, alpha))).specks
    assert specks is not None
    assert (specks.count, specks.solid_count) == (1, int(alpha >= 40))
    (spot,) = specks.spots
    round_one = 2 * MM_A_PX * np.sqrt(4 / np.pi * alpha / 255)
    assert spot.value_mm == pytest.approx(round_one, rel=0.02)
    x, y = 640 * MM_A_PX, 560 * MM_A_PX
    assert spot.place.x_mm - 0.01 <= x <= spot.place.x_mm + spot.place.width_mm
    assert spot.place.y_mm - 0.01 <= y <= spot.place.y_mm + spot.place.height_mm


def test_clean_art_has_none() -> None:
    """Nothing stray, nothing told; so for an empty picture."""
    assert measured(with_dots()).specks is None
    assert measured(clear()).specks is None


def test_a_dot_beside_the_art_or_a_larger_one_is_none() -> None:
    """What lies close to other ink belongs to it; what is large enough is art."""
    assert measured(with_dots((287, 179, 2, 255))).specks is None
    assert measured(with_dots((640, 560, 6, 255))).specks is None


def test_dots_alone_are_the_art() -> None:
    """A picture of nothing but dots has no strays."""
    picture = clear()
    picture[100:103, 100:103] = picture[300:303, 500:503] = (0, 0, 0, 255)
    assert measured(picture).specks is None


def test_what_the_edge_cuts_off_is_none() -> None:
    """A dot at the very edge may be the rest of something."""
    assert measured(with_dots((0, 590, 3, 255), (697, 20, 3, 255))).specks is None


def test_dots_on_a_plain_ground_are_found_too() -> None:
    """Opaque art is measured against its ground."""
    cover = cover_of_blobs()
    picture = painted(np.ones_like(cover), 255 - cover[..., None] * np.array([55.0, 225.0, 215.0]))
    picture[560:562, 640:642, :3] = 0
    specks = measured(picture, has_alpha=False).specks
    assert specks is not None
    assert specks.count == 1
