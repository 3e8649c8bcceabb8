"""Planning film: everything is laid once, apart, inside the film, and in plain rows at the worst."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tickets.film.shop_pieces import ROLL, box, job, shop_jobs
from tickets.film.judging import judge
from tickets.film.lots import Misfit
from tickets.film.model import Job, Rules, Way
from tickets.film.planning import plan_film

RULES = st.builds(
    Rules,
    printable_mm=st.sampled_from((300.0, 325.0, 590.0)),
    gap_mm=st.sampled_from((0.0, 5.0, 8.0)),
    edge_mm=st.sampled_from((0.0, 10.0)),
    run_mm=st.sampled_from((600.0, 2000.0, 10_000.0)),
    turning=st.booleans(),
    whole_jobs=st.booleans(),
    is_sheet=st.booleans(),
)


@settings(deadline=None, max_examples=60)
@given(shop_jobs(), RULES)
def test_every_piece_is_laid_once_apart_and_inside(jobs: list[Job], rules: Rules) -> None:
    """Whatever the jobs and the film, the judge finds nothing wrong, and what cannot be laid is named."""
    plan = plan_film(jobs, rules, seconds=0.2)
    unlaid = {u.job.code for u in plan.unlaid}
    assert judge(plan.layouts, [j for j in jobs if j.code not in unlaid], rules) == []
    assert plan.pieces == sum(j.copies for j in jobs if j.code not in unlaid)


@settings(deadline=None, max_examples=40)
@given(shop_jobs(), RULES)
def test_no_plan_takes_more_film_than_rows(jobs: list[Job], rules: Rules) -> None:
    """Rows stay a candidate: nothing that is longer is kept."""
    assert (
        plan_film(jobs, rules, seconds=0.2).length_mm
        <= plan_film(jobs, rules, ways=[Way.ROWS]).rows_mm + 1e-6
    )


def test_rows_take_what_a_person_counts() -> None:
    """50 chest prints of 75 × 65, counted by hand both ways round."""
    plan = plan_film([job("A", 50, box(75, 65))], ROLL, ways=[Way.ROWS])
    # Unturned: 7 across (7·75 + 6·8 = 573), 8 rows: 8·65 + 7·8 + 20 = 596.
    # Turned: 8 across (8·65 + 7·8 = 576), 7 rows: 7·75 + 6·8 + 20 = 593.
    assert plan.length_mm == pytest.approx(593)
    assert plan.layouts[0].is_straight_cut
    assert plan.layouts[0].way is Way.ROWS


def test_a_back_of_300_goes_one_across_and_of_291_two() -> None:
    """The trade's arithmetic: 300 × 400 takes 308 mm of roll turned, 291 × 388 two across 198 mm each."""
    wide = plan_film([job("A", 20, box(300, 400))], ROLL, ways=[Way.ROWS])
    less = plan_film([job("A", 20, box(291, 388))], ROLL, ways=[Way.ROWS])
    assert wide.length_mm == pytest.approx(20 * 308 - 8 + 20)
    assert less.length_mm == pytest.approx(20 * 198 - 8 + 20)


def test_rush_goes_first_then_what_is_due_first() -> None:
    """The order along the film is the order in which pieces are wanted."""
    jobs = [job("late", 8, box(290, 200), 3), job("soon", 8, box(290, 200), 1)]
    jobs.append(job("rush", 8, box(290, 200), 9, rush=True))
    codes = [p.code for layout in plan_film(jobs, ROLL, ways=[Way.ROWS]).layouts for p in layout.placements]
    assert list(dict.fromkeys(codes)) == ["rush", "soon", "late"]


def test_spares_are_laid_over_and_counted_apart() -> None:
    """The last copies of a ticket are its spares, marked as such."""
    plan = plan_film([job("A", 10, box(100, 100), spares=3)], ROLL)
    assert sum(p.spare for p in plan.layouts[0].placements) == 3
    assert plan.pieces == 13


def test_what_lies_on_a_fixed_run_is_not_laid_again() -> None:
    """A planned run that stays counts: only the rest is laid."""
    first = plan_film([job("A", 10, box(100, 100))], ROLL)
    rest = plan_film([job("A", 25, box(100, 100))], ROLL, fixed=first.layouts)
    assert rest.pieces == 15


def test_pinned_jobs_lie_on_a_run_of_their_own() -> None:
    """Who is pinned to a run lies there with the others that are, and nobody else does."""
    jobs = [job("A", 3, box(90, 90), pinned_run="R7"), job("B", 3, box(90, 90)), job("C", 3, box(90, 90))]
    plan = plan_film(jobs, ROLL)
    assert {layout.run: set(layout.counts()) for layout in plan.layouts} == {"R7": {"A"}, "": {"B", "C"}}


def test_what_no_film_can_take_is_named_with_the_reason() -> None:
    """A print wider than the film, one longer than a run, and one of no size."""
    jobs = [job("wide", 1, box(700, 650)), job("long", 1, box(500, 12_000)), job("none", 1, box(0, 10))]
    said = {u.job.code: u.why for u in plan_film(jobs, ROLL).unlaid}
    assert said == {"wide": Misfit.TOO_WIDE, "long": Misfit.TOO_LONG, "none": Misfit.NO_SIZE}


def test_the_same_jobs_give_the_same_plan() -> None:
    """Without a clock nothing depends on the machine."""
    jobs = [job("A", 20, box(120, 80)), job("B", 9, box(240, 300)), job("C", 30, box(55, 90), 1)]
    assert plan_film(jobs, ROLL) == plan_film(list(reversed(jobs)), ROLL)
