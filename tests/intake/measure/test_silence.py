"""What is not thin raises no alarm, up to a limit of 1 mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from intake.facts import Ask
from intake.measure import measure_ink
from tests.intake.measure.truth import silent
from tests.intake.measure.truth.renderers import RENDERERS
from tests.intake.measure.truth.scoring import ArrayPixels, black_on_clear, score
from tests.intake.measure.truth.shapes import Case, Rng

SEED = 20261125
FAMILIES = [
    silent.solid,
    silent.star,
    silent.star_hole,
    silent.blob,
    silent.wedge,
    silent.needle,
    silent.wedge_notch,
    silent.whisker_corner,
    silent.soft_shadow,
]


@pytest.mark.parametrize("draw", FAMILIES, ids=lambda f: f.__name__)
def test_solids_tips_and_corners_raise_no_alarm(draw: Callable[[Rng], Case]) -> None:
    """No line, gap or island is reported on shapes that have none, at 300 ppi, by any renderer."""
    rng = np.random.default_rng([SEED, *map(ord, draw.__name__)])
    found = [score(draw(rng), RENDERERS[k % 3], 300) for k in range(24)]
    assert [s.case.family for s in found if s.alarms] == []


@pytest.mark.parametrize("draw", [silent.solid, silent.star, silent.blob], ids=lambda f: f.__name__)
def test_nor_without_anti_aliasing(draw: Callable[[Rng], Case]) -> None:
    """The steps of hard pixels are no lines."""
    rng = np.random.default_rng([SEED, 1, *map(ord, draw.__name__)])
    found = [score(draw(rng), RENDERERS[k % 3], 300, is_smooth=False) for k in range(12)]
    assert [s.case.family for s in found if s.alarms] == []


def test_an_empty_canvas_holds_nothing() -> None:
    """Nothing inked: no box, no line, no area."""
    found = measure_ink(black_on_clear(np.zeros((90, 70), np.uint8)), 0.1, Ask())
    assert found.ink_box is None
    assert (found.ink_area_mm2, found.white_area_mm2, found.island_count) == (0.0, 0.0, 0)
    assert found.thinnest_line is None
    assert found.thinnest_gap is None


def test_the_edge_of_the_canvas_makes_no_gap() -> None:
    """Ink 0.3 mm from the edge of the canvas leaves no gap there."""
    cover = np.zeros((400, 400), np.uint8)
    cover[4:-4, 4:-4] = 255
    assert measure_ink(black_on_clear(cover), 25.4 / 300, Ask()).thin_gaps == ()


def test_a_photograph_raises_no_alarm_and_is_all_ink() -> None:
    """An opaque picture without a plain ground: nothing thin, the whole canvas printed."""
    rng = np.random.default_rng(SEED)
    noise = rng.integers(0, 256, (400, 300, 4), np.uint8)
    noise[..., 3] = 255
    found = measure_ink(ArrayPixels(noise, has_alpha=False), 0.1, Ask())
    assert found.background is None
    assert found.thin_lines == found.thin_gaps == found.islands == ()
    assert found.ink_area_mm2 == pytest.approx(40.0 * 30.0)
    assert found.white_area_mm2 == pytest.approx((40.0 - 0.3) * (30.0 - 0.3))
