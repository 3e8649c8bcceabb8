"""Lines and gaps of known width are measured to a fraction of a pixel, whoever drew them."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.intake.measure.looked import MM_A_PX, measured, painted
from tests.intake.measure.truth import shapes
from tests.intake.measure.truth.renderers import RENDERERS
from tests.intake.measure.truth.scoring import Score, score
from tests.intake.measure.truth.shapes import Case, Rng

SEED = 20261125
Draw = Callable[[Rng], Case]
WORST_MM = {150: 0.05, 300: 0.03, 600: 0.015}
STEADY = [shapes.bar, shapes.slot, shapes.arc, shapes.ring, shapes.ring_gap, shapes.taper, shapes.taper_gap]


def scores(draw: Draw, count: int, ppi: float, is_smooth: bool = True) -> list[Score]:
    """So many random cases of one kind, drawn by the renderers in turn."""
    rng = np.random.default_rng([SEED, int(ppi), *map(ord, draw.__name__)])
    return [score(draw(rng), RENDERERS[k % 3], ppi, is_smooth) for k in range(count)]


def errors(found: list[Score]) -> NDArray[np.float64]:
    """All errors of lines and gaps in mm."""
    values = np.array([e for s in found for e in (s.line_error, s.gap_error)])
    return np.asarray(values[~np.isnan(values)])


@pytest.mark.parametrize("draw", STEADY, ids=lambda f: f.__name__)
@pytest.mark.parametrize(("ppi", "count"), [(150, 8), (300, 16), (600, 5)])
def test_widths_are_right_at_every_resolution(draw: Draw, ppi: int, count: int) -> None:
    """A line or gap from 0.10 mm on is found, and its width is right: 0.03 mm at 300 ppi at worst."""
    found = scores(draw, count, ppi)
    assert [s for s in found if s.missed or s.alarms] == []
    worst = WORST_MM[ppi]
    assert np.abs(errors(found)).max() <= worst
    assert abs(errors(found).mean()) <= worst / 4


def test_a_line_is_said_to_be_thinnest_where_it_is() -> None:
    """A long taper's place is its whole thin part; the point that is enlarged lies on its thin end."""
    cover = np.zeros((500, 700), np.uint8)
    cv2.fillPoly(cover, [np.array([[100, 100], [600, 110], [600, 118], [100, 101]])], 255, cv2.LINE_AA)
    (line, *_) = measured(painted(cover / 255.0, (20, 40, 90))).thin_lines
    at = line.place.at_mm
    assert at is not None
    x, y = (int(side / MM_A_PX) for side in at)
    assert cover[y, x] >= 128
    assert x < 350


@pytest.mark.parametrize("draw", [shapes.v_neck, shapes.v_gap], ids=lambda f: f.__name__)
def test_a_sharp_neck_is_found_and_read_without_its_blur(draw: Draw) -> None:
    """Two wedges tip to tip: thinnest at a point, which the pixels blur; the width is told all the same."""
    found = scores(draw, 20, 300)
    assert sum(s.missed for s in found) == 0
    assert abs(errors(found).mean()) <= 0.02
    assert np.abs(errors(found)).max() <= 0.05


@pytest.mark.parametrize("draw", [shapes.hatch, shapes.grid], ids=lambda f: f.__name__)
def test_hairlines_side_by_side_are_each_a_line(draw: Draw) -> None:
    """Hatching and grids of 0.10 to 0.35 mm hairlines: the line's width is told, not that of the pattern."""
    found = scores(draw, 12, 300)
    assert [s for s in found if s.missed] == []
    assert np.abs(errors(found)).max() <= 0.03
    assert abs(errors(found).mean()) <= 0.005


def test_a_whisker_on_a_disc_is_found() -> None:
    """A thin line out of a disc, from 0.10 mm and a little longer than three times its width."""
    found = scores(shapes.whisker, 24, 300)
    assert sum(s.missed for s in found) == 0
    assert np.abs(errors(found)).max() <= 0.04


def test_a_short_bar_between_two_discs_is_a_neck() -> None:
    """However short, what joins two wider parts is found, and read without what the discs blur into it."""
    found = scores(shapes.neck, 20, 300)
    assert sum(s.missed for s in found) <= 1
    assert np.abs(errors(found)).max() <= 0.04
    assert {s.measures.thinnest_line.kind for s in found if s.measures.thinnest_line} <= {"neck", "stroke"}


@pytest.mark.parametrize(("seed", "number"), [(11, 31), (12, 16), (13, 11)])
def test_a_neck_is_found_however_askew_it_lies(seed: int, number: int) -> None:
    """Bars of a few pixels between discs, at angles at which the middle of the bar is hard to tell."""
    rng = np.random.default_rng([seed, 300, *map(ord, "neck")])
    cases = [shapes.neck(rng) for _ in range(number + 1)]
    found = score(cases[number], RENDERERS[number % len(RENDERERS)], 300)
    assert not found.missed
    assert abs(found.line_error) <= 0.06


def test_without_anti_aliasing_the_uncertainty_says_what_the_file_holds() -> None:
    """Hard pixels hold a width to about a pixel; the told uncertainty covers nearly all errors."""
    found = scores(shapes.bar, 24, 300, is_smooth=False)
    assert sum(s.missed for s in found) == 0
    lines = [s.measures.thinnest_line for s in found if s.measures.thinnest_line]
    assert {round(line.uncertainty_mm, 3) for line in lines} == {0.072}
    assert np.mean(np.abs(errors(found)) <= 0.072) >= 0.95


@pytest.mark.parametrize("draw", [shapes.taper, shapes.neck, shapes.v_neck], ids=lambda f: f.__name__)
def test_the_place_is_where_it_is_thinnest(draw: Draw) -> None:
    """The middle of the told box is within 0.2 mm of the waist for nine in ten, and never far away."""
    found = scores(draw, 20, 300)
    off = np.array([s.place_error for s in found])
    off = off[~np.isnan(off)]
    assert np.percentile(off, 90) <= 0.2
    assert off.max() <= 0.6


def test_a_line_is_one_place_with_its_whole_extent() -> None:
    """A long line under the limit is one spot, whose length is the line's."""
    found = scores(shapes.bar, 12, 300)
    assert {len(s.measures.thin_lines) for s in found} == {1}
    for s in found:
        x0, y0, x1, y1 = s.case.shape.bounds
        place = s.measures.thin_lines[0].place
        assert place.x_mm == pytest.approx(x0, abs=0.6)
        assert place.width_mm == pytest.approx(x1 - x0, abs=1.0)
        assert place.height_mm == pytest.approx(y1 - y0, abs=1.0)
