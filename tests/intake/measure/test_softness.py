"""Truly semi-transparent ink is told from the rims of hard edges."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from shapely import Point, box

from intake.facts import Alpha, Ask
from intake.measure import measure_ink
from tests.intake.measure.truth import shapes, silent
from tests.intake.measure.truth.renderers import RENDERERS, render, sheet_for
from tests.intake.measure.truth.scoring import ArrayPixels, black_on_clear, draw

SEED = 20261125
MM = 25.4 / 300


@pytest.mark.parametrize("ppi", [150, 300, 600])
@pytest.mark.parametrize("renderer", RENDERERS)
def test_rims_of_hard_edges_are_not_soft(renderer: str, ppi: int) -> None:
    """Bars, arcs, stars and hairlines at any angle and resolution: alpha is hard, the soft share nothing."""
    rng = np.random.default_rng([SEED, ppi])
    for make in (shapes.bar, shapes.arc, silent.star, shapes.whisker, shapes.hatch):
        cover, mm = draw(make(rng), renderer, ppi, True)
        found = measure_ink(black_on_clear(cover), mm, Ask())
        assert found.soft_share <= 0.002
        assert found.alpha is Alpha.HARD or found.soft_share > 0


def test_a_flat_tint_is_soft_throughout() -> None:
    """Ink at 40 % is semi-transparent all over."""
    cover = (render(box(1, 1, 9, 5), sheet_for(10, 6, 300), "skia").astype(float) * 0.4).astype(np.uint8)
    found = measure_ink(black_on_clear(cover), MM, Ask())
    assert found.alpha is Alpha.SOFT
    assert found.soft_share > 0.97
    assert found.soft_places[0].x_mm == pytest.approx(1.0, abs=1.0)
    assert found.soft_places[0].width_mm == pytest.approx(8.0, abs=1.6)


@pytest.mark.parametrize("sigma", [4.0, 8.0, 15.0])
def test_a_blurred_shadow_is_soft(sigma: float) -> None:
    """A soft shadow counts with the pixels between clear and full."""
    cover = render(Point(5, 5).buffer(3), sheet_for(10, 10, 300), "skia")
    soft = np.asarray(cv2.GaussianBlur(cover, (0, 0), sigma), np.uint8)
    found = measure_ink(black_on_clear(soft), MM, Ask())
    between = np.count_nonzero((soft >= 8) & (soft <= 247)) / np.count_nonzero(soft >= 8)
    assert found.alpha is Alpha.SOFT
    assert found.soft_share == pytest.approx(between, rel=0.25)


@pytest.mark.parametrize(
    ("has_alpha", "level", "kind"), [(True, 255, Alpha.OPAQUE), (False, 255, Alpha.NONE)]
)
def test_opaque_pictures_are_told_by_their_channel(has_alpha: bool, level: int, kind: Alpha) -> None:
    """No channel: none. A channel without anything transparent: opaque."""
    rgba = np.random.default_rng(SEED).integers(0, 255, (90, 120, 4), np.uint8)
    rgba[..., 3] = level
    assert measure_ink(ArrayPixels(rgba, has_alpha=has_alpha), 0.1, Ask()).alpha is kind
