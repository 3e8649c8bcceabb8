"""Small separate pieces and small holes are counted, each with its inscribed diameter."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point, box, union_all

from intake.facts import Ask
from intake.measure import measure_ink
from tests.intake.measure.truth import shapes
from tests.intake.measure.truth.renderers import RENDERERS, render, sheet_for
from tests.intake.measure.truth.scoring import black_on_clear, score

SEED = 20261125
MM = 25.4 / 300


@pytest.mark.parametrize("ppi", [150, 300, 600])
def test_dots_are_counted_and_sized(ppi: int) -> None:
    """Round dots from 0.10 mm on: all of those under the limit are islands, none of those over it."""
    rng = np.random.default_rng([SEED, ppi])
    for k in range(14):
        case = shapes.dots(rng)
        found = score(case, RENDERERS[k % 3], ppi).measures
        diameter = case.island_mm or 0.0
        if abs(diameter - 0.5) < 0.04:
            continue
        assert found.island_count == (4 if diameter < 0.5 else 0)
        for island in found.islands:
            assert island.value_mm == pytest.approx(diameter, abs=max(0.03, 0.25 * 25.4 / ppi))


def test_a_dot_of_a_tenth_of_a_millimetre_is_not_lost() -> None:
    """Its pixels stay far below half coverage; it is counted all the same, wherever it lies on the grid."""
    for k in range(8):
        dot = Point(1.5 + 0.011 * k, 1.5 + 0.017 * k).buffer(0.05, 32)
        cover = render(dot, sheet_for(3.0, 3.0, 300), "skia")
        found = measure_ink(black_on_clear(cover), MM, Ask())
        assert found.island_count == 1
        assert found.islands[0].value_mm == pytest.approx(0.10, abs=0.02)
        assert found.islands[0].place.x_mm == pytest.approx(1.45 + 0.011 * k, abs=0.1)


def test_a_small_square_hole_is_a_gap_and_a_large_one_is_not() -> None:
    """A knock-out that is small both ways fills with powder like a gap."""
    block = box(1, 1, 9, 5)
    for side, is_gap in ((0.3, True), (0.8, False)):
        hole = box(3, 2, 3 + side, 2 + side)
        cover = render(block.difference(hole), sheet_for(10, 6, 300), "skia")
        found = measure_ink(black_on_clear(cover), MM, Ask())
        assert [s.kind for s in found.thin_gaps] == (["hole"] if is_gap else [])
        if is_gap:
            assert found.thin_gaps[0].value_mm == pytest.approx(side, abs=0.02)


def test_a_long_thin_piece_is_a_line_and_no_island() -> None:
    """What is longer than three island limits is judged as a line."""
    line = box(1, 1, 5, 1.4)
    cover = render(line, sheet_for(6, 3, 300), "skia")
    found = measure_ink(black_on_clear(cover), MM, Ask(line_mm=0.3, island_mm=0.5))
    assert found.island_count == 0
    assert found.thin_lines == ()


def test_islands_are_ranked_smallest_first() -> None:
    """The smallest dot leads the list."""
    dots = union_all([Point(1 + 2 * k, 2).buffer(0.1 + 0.04 * k, 32) for k in range(4)])
    found = measure_ink(black_on_clear(render(dots, sheet_for(9, 4, 300), "skia")), MM, Ask())
    values = [s.value_mm for s in found.islands]
    assert len(values) == 4
    assert values == sorted(values)
