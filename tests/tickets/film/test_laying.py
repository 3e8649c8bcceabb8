"""Laying by boxes and outlines: profiles enclose their pieces, pairs lock, and prices decide what is kept."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.film_days import shop_day
from tests.tickets.film.shop_pieces import ROLL, box, disc, ell, job, shapes
from tickets.film.judging import judge, polygon_of
from tickets.film.lots import Stance
from tickets.film.model import Shape, Way
from tickets.film.planning import Plan, Progress, plan_film
from tickets.film.profiles import COLUMN_MM, STEP_MM, profile_of


@settings(deadline=None, max_examples=60)
@given(shapes(), st.booleans(), st.sampled_from((0.0, 3.0, 8.0)))
def test_a_profile_encloses_the_piece_and_half_the_gap(shape: Shape, turned: bool, gap_mm: float) -> None:
    """In every column the piece, grown by half the gap (by shapely), lies between what the profile says."""
    import shapely

    sides = (shape.height_mm, shape.width_mm) if turned else (shape.width_mm, shape.height_mm)
    profile = profile_of(shape, Stance(*sides, turned), gap_mm)
    points = shapely.get_coordinates(shapely.buffer(polygon_of(shape), gap_mm / 2 - 0.001, quad_segs=32))
    if turned:
        points = np.column_stack((shape.height_mm - points[:, 1], points[:, 0]))
    columns = np.floor((points[:, 0] + gap_mm / 2) / COLUMN_MM).astype(int).clip(0, profile.columns - 1)
    along = (points[:, 1] + gap_mm / 2) / STEP_MM
    assert (along >= profile.near[columns] - 1e-3).all()
    assert (along <= profile.far[columns] + 1e-3).all()


def test_boxes_fill_what_rows_leave_beside_wide_backs() -> None:
    """A 300 mm back goes one across; chest prints lie beside it instead of in rows of their own."""
    jobs = [job("backs", 10, box(400, 300), may_turn=False), job("chests", 60, box(80, 60), may_turn=False)]
    plan = plan_film(jobs, ROLL, ways=[Way.BOXES])
    # Beside 10 backs (3,072 mm of roll) 2 chests lie every 68 mm of it: all 60 in 2,040 mm.
    assert plan.length_mm == pytest.approx(10 * 308 - 8 + 20, abs=1)
    assert judge(plan.layouts, jobs, ROLL) == []


def test_outlines_lock_into_each_other() -> None:
    """Discs of 300 mm that go one across as boxes lie in zigzag; what that takes is worked out by hand."""
    jobs = [job("discs", 20, disc(300))]
    plan = plan_film(jobs, ROLL)
    # Centres 290 apart across, 308 from one to the next: a disc moves on by √(308² − 290²) = 104 mm at least;
    # two on the same side would be 208 apart, less than 308, so 154 a disc is the least.
    least = 19 * 154 + 300 + 20
    assert least - 1 <= plan.length_mm <= 1.06 * least
    assert plan.rows_mm == pytest.approx(20 * 308 - 8 + 20)
    assert judge(plan.layouts, jobs, ROLL) == []


def test_the_gap_is_kept_where_ls_lock() -> None:
    """Ls reach into each other's boxes, and never nearer than the gap."""
    jobs = [job("ells", 30, ell(320, 300, 0.3))]
    plan = plan_film(jobs, ROLL)
    assert plan.length_mm < plan.rows_mm
    assert judge(plan.layouts, jobs, ROLL) == []


def test_a_dear_cutter_gets_straight_cuts() -> None:
    """Where a minute of cutting costs more than the film that locking saves, nothing is interlocked."""
    jobs = [job("discs", 40, disc(300))]
    dear = replace(ROLL, minute_costs=20.0, metre_costs=0.8)
    cheap = replace(ROLL, minute_costs=0.01, metre_costs=0.8)
    assert all(layout.is_straight_cut for layout in plan_film(jobs, dear).layouts)
    assert not all(layout.is_straight_cut for layout in plan_film(jobs, cheap).layouts)


def test_whole_jobs_are_not_parted() -> None:
    """With whole jobs asked for, no ticket that fits a run lies on two, over 50 jobs of a day."""
    jobs = [replace(j, quantity=min(j.quantity, 25)) for j in shop_day(4)[:50]]
    rules = replace(ROLL, whole_jobs=True, window=4)
    plan = plan_film(jobs, rules, ways=[Way.BOXES], seconds=1.0)
    seen: dict[str, int] = {}
    for layout in plan.layouts:
        for code in layout.counts():
            seen[code] = seen.get(code, 0) + 1
    assert max(seen.values()) == 1
    assert judge(plan.layouts, jobs, rules) == []


def test_planning_stops_when_asked_with_the_best_so_far() -> None:
    """Somebody who stops at once gets plain rows, all pieces laid, and is told that there could be more."""
    jobs = shop_day(5)[:20]
    plan = plan_film(jobs, ROLL, stop=lambda: True)
    assert not plan.is_whole
    assert plan.length_mm == plan.rows_mm
    assert judge(plan.layouts, jobs, ROLL) == []


def test_progress_is_told_and_never_goes_back() -> None:
    """The share of time grows, and the last word is the plan's own length."""
    told: list[Progress] = []
    plan: Plan = plan_film(shop_day(6)[:12], ROLL, progress=told.append)
    assert [p.share for p in told] == sorted(p.share for p in told)
    assert told[-1].length_mm == pytest.approx(plan.length_mm)
