"""Things that people draw are measured as well as plain bars."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from tests.intake.measure.truth import drawn
from tests.intake.measure.truth.renderers import RENDERERS
from tests.intake.measure.truth.scoring import score
from tests.intake.measure.truth.shapes import Case, Rng

Draw = Callable[[Rng], Case]
EXACT: list[Draw] = [
    drawn.outlined_type,
    drawn.crossing,
    drawn.concentric,
    drawn.small_clear_ring,
    drawn.dashes,
    drawn.near_discs,
    drawn.handwriting,
]


@pytest.mark.parametrize("draw", EXACT, ids=lambda f: f.__name__)
def test_drawn_things_are_found_and_read_to_a_fiftieth_of_a_millimetre(draw: Draw) -> None:
    """Outlined letters, crossings, rings, dashes, letters that nearly touch, a pen's line: none is missed."""
    rng = np.random.default_rng([11, *map(ord, draw.__name__)])
    found = [score(draw(rng), RENDERERS[k % 3], 300) for k in range(6)]
    assert not any(s.missed for s in found)
    errors = np.array([e for s in found for e in (s.line_error, s.gap_error) if not np.isnan(e)])
    assert np.abs(errors).max() <= 0.03


def test_a_swash_that_thins_out_at_both_ends_is_no_line() -> None:
    """Tips of a brush stroke are notes, not thin lines."""
    rng = np.random.default_rng(12)
    for k in range(6):
        found = score(drawn.swash(rng), RENDERERS[k % 3], 300).measures
        assert (found.thin_lines, found.thin_gaps, found.island_count) == ((), (), 0)
