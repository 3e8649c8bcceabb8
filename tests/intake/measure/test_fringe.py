"""Rims left by cutting out: told apart from clean edges, outlines and shading."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from config.settings import load_settings
from intake.facts import Fringe
from tests.intake.measure.looked import cover_of_blobs, measured, painted
from tests.intake.measure.truth.enlarging import take_photo

LIMIT = load_settings(None, {}).limits.fringe.query_share
COVER = cover_of_blobs()
PHOTO = np.asarray(take_photo(np.random.default_rng(5), 700), np.float64)[:600]


def share_of(found: Fringe | None) -> float:
    """The share of the rim; 0 when nothing is told."""
    return found.share if found is not None else 0.0


@pytest.mark.parametrize("colour", [(200, 30, 40), (20, 40, 90), (128, 128, 128), PHOTO], ids=str)
def test_clean_edges_have_no_rim(colour: tuple[int, int, int]) -> None:
    """Anti-aliased art whose rim has the colour of its ink, flat or a photo."""
    assert share_of(measured(painted(COVER, colour)).fringe) < LIMIT / 2


@pytest.mark.parametrize(("ground", "level"), [("white", 255.0), ("black", 0.0)])
@pytest.mark.parametrize("colour", [(200, 30, 40), PHOTO], ids=["flat", "photo"])
def test_what_was_cut_out_of_a_ground_keeps_a_rim(
    ground: str, level: float, colour: tuple[int, int, int]
) -> None:
    """Cut out with a hard edge, or with a soft one: the old ground still shows in the rim's pixels."""
    flat: NDArray[Any] = np.asarray(colour, np.float64) * COVER[..., None] + level * (1 - COVER[..., None])
    flat = cv2.GaussianBlur(flat, (0, 0), 0.8)
    for cover in ((COVER > 0.1).astype(np.float64), cv2.GaussianBlur(COVER, (0, 0), 0.8)):
        found = measured(painted(cover, flat)).fringe
        assert found is not None
        assert found.ground == ground
        assert found.share >= 2 * LIMIT
        assert found.places


@pytest.mark.parametrize(("ground", "level"), [("white", 255.0), ("black", 0.0)])
def test_a_cut_a_pixel_too_far_out_leaves_a_halo(ground: str, level: float) -> None:
    """The first row is all of the old ground's colour; the mixed row behind it gives it away."""
    flat: NDArray[Any] = np.array([200.0, 30.0, 40.0]) * COVER[..., None] + level * (1 - COVER[..., None])
    found = measured(painted(cv2.dilate(COVER, np.ones((3, 3), np.uint8)), flat)).fringe
    assert found is not None
    assert found.ground == ground
    assert found.share >= LIMIT
    assert found.places


@pytest.mark.parametrize(("width", "level"), [(2, 255), (3, 255), (4, 0)])
def test_a_thin_outline_is_drawn_on_purpose(width: int, level: int) -> None:
    """A border that is all of one colour is no trace of a ground."""
    inner: NDArray[Any] = cv2.erode(COVER, np.ones((2 * width + 1, 2 * width + 1), np.uint8))[..., None]
    colours = np.array([200.0, 30.0, 40.0]) * inner + level * (1 - inner)
    assert share_of(measured(painted(COVER, colours)).fringe) < LIMIT


def test_opaque_pictures_have_no_rim() -> None:
    """Without transparency nothing was cut out."""
    assert measured(painted(np.ones((600, 700)), PHOTO), has_alpha=False).fringe is None
