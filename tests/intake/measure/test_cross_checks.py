"""The measuring against independent, slower algorithms where those are right."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import distance_transform_edt  # type: ignore[import-untyped]
from shapely import Point, union_all
from skimage.morphology import medial_axis

from intake.facts import Ask
from intake.measure import measure_ink
from intake.measure.bytewise import at_least, city_block_distance
from intake.measure.fields import ridge_of
from tests.intake.measure.truth import shapes
from tests.intake.measure.truth.renderers import RENDERERS, render, sheet_for
from tests.intake.measure.truth.scoring import black_on_clear, draw, score

SEED = 20261125
MM = 25.4 / 300


@pytest.mark.parametrize("make", [shapes.bar, shapes.ring, shapes.arc], ids=lambda f: f.__name__)
def test_widths_agree_with_scipys_exact_distance_transform(make: object) -> None:
    """At 2,400 ppi a binary distance transform is right to 0.02 mm; the 300 ppi reading agrees with it.

    scipy.ndimage.distance_transform_edt (exact Euclidean): twice its largest value is the inscribed diameter.
    """
    rng = np.random.default_rng([SEED, *map(ord, make.__name__)])  # type: ignore[attr-defined]
    for k in range(6):
        case = make(rng)  # type: ignore[operator]
        if case.line_mm > 0.8:
            continue
        fine = render(case.shape, sheet_for(case.width_mm, case.height_mm, 2400), "pdfium")
        exact = 2.0 * float(distance_transform_edt(fine >= 128).max()) * 25.4 / 2400
        line = score(case, RENDERERS[k % 3], 300).measures.thinnest_line
        assert line is not None
        assert line.value_mm == pytest.approx(exact, abs=0.02 + 0.015)


def test_ridges_lie_on_the_medial_axis() -> None:
    """Every branch of scikit-image's medial axis that is thin has a ridge point within two pixels.

    skimage.morphology.medial_axis; its spurs into convex corners are left out by their distance.
    """
    rng = np.random.default_rng(SEED)
    for _ in range(4):
        cover, _ = draw(shapes.arc(rng), "pdfium", 300, True)
        mask = at_least(cover, 128)
        axis, distance = medial_axis(mask > 0, return_distance=True)  # type: ignore[no-untyped-call]
        widest = float(distance.max())
        thin = axis & (distance > 0.75 * widest)
        ridge = ridge_of(city_block_distance(np.pad(mask, 4)), 2.2 * widest)[4:-4, 4:-4] > 0
        away = distance_transform_edt(~ridge)
        assert np.percentile(away[thin], 99) <= 2.0


def test_the_city_block_distance_bounds_the_exact_one() -> None:
    """What proposes seeds is never less than the exact distance, and at most √2 of it."""
    rng = np.random.default_rng(SEED)
    cover, _ = draw(shapes.whisker(rng), "skia", 300, True)
    mask = at_least(np.pad(cover, 3), 128)
    exact = distance_transform_edt(mask > 0)
    steps = city_block_distance(mask).astype(float)
    inside = mask > 0
    assert (steps[inside] >= exact[inside] - 1e-9).all()
    assert (steps[inside] <= np.sqrt(2.0) * exact[inside] + 1.0).all()


@pytest.mark.parametrize("choke", [0.085, 0.127, 0.15, 0.25])
def test_white_area_agrees_with_shapelys_erosion(choke: float) -> None:
    """The white left by the choke is the vector's negative buffer, to a fifth of a pixel of depth.

    shapely's buffer with a negative distance is the erosion of the outline.
    """
    rng = np.random.default_rng([SEED, int(choke * 1000)])
    for k, make in enumerate((shapes.ring_gap, shapes.whisker, shapes.neck, shapes.arc, shapes.v_neck)):
        case = make(rng)
        cover, mm = draw(case, RENDERERS[k % 3], 300, True)
        found = measure_ink(black_on_clear(cover), mm, Ask(choke_mm=choke))
        left = case.shape.buffer(-choke, quad_segs=64)
        assert found.ink_area_mm2 == pytest.approx(case.shape.area, rel=0.01, abs=0.02)
        assert found.white_area_mm2 == pytest.approx(left.area, abs=0.025 * case.shape.length)


@pytest.mark.parametrize(("width", "survives"), [(0.20, False), (0.26, False), (0.34, True), (0.45, True)])
def test_a_line_loses_its_white_when_it_is_no_wider_than_twice_the_choke(
    width: float, survives: bool
) -> None:
    """Choke 0.15 mm: lines under 0.30 mm lose all their white, wider ones keep it."""
    for angle in (0.0, 17.0, 45.0, 80.0):
        case = shapes.placed_at_angle(shapes.rectangle(6.0, width), angle, limit_mm=1.0)
        cover = render(case.shape, sheet_for(case.width_mm, case.height_mm, 300), "skia")
        found = measure_ink(black_on_clear(cover), MM, Ask(choke_mm=0.15))
        share = found.lost_white_area_mm2 / case.shape.area
        assert share == pytest.approx(0.0 if survives else 1.0, abs=0.08)
        assert bool(found.lost_white_places) != survives


def test_only_the_thin_part_loses_its_white() -> None:
    """A thin stick on a disc: the stick's area is lost, the disc's is not."""
    stick = shapes.rectangle(6.0, 0.2)
    shape = union_all([Point(-3, 0).buffer(2.0, 64), stick])
    case = shapes.placed_at_angle(shape, 20.0, limit_mm=1.0)
    cover = render(case.shape, sheet_for(case.width_mm, case.height_mm, 300), "skia")
    found = measure_ink(black_on_clear(cover), MM, Ask(choke_mm=0.15))
    assert found.lost_white_area_mm2 == pytest.approx(4.0 * 0.2, rel=0.15)
