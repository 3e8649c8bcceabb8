"""Planning again: printed runs stay, planned pieces lie where they lay, and people may pin and take out."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tickets.film.shop_pieces import ROLL, box, job, shop_jobs
from tickets.film.judging import judge
from tickets.film.model import Job
from tickets.film.planning import plan_film
from tickets.film.replanning import pin, replan_film, take_out

SHORT = replace(ROLL, run_mm=1500)


@settings(deadline=None, max_examples=30)
@given(shop_jobs(5), shop_jobs(5), st.integers(0, 3))
def test_after_planning_again_everything_is_laid_once(
    jobs: list[Job], others: list[Job], printed: int
) -> None:
    """Some jobs went, others came, some film is printed: the judge finds all pieces once, well apart."""
    named = [replace(j, code=f"N{j.code}") for j in others]
    first = plan_film(jobs, SHORT, seconds=0.1)
    done = first.layouts[:printed]
    again = replan_film(
        [*jobs[1:], *named], SHORT, printed=done, planned=first.layouts[printed:], seconds=0.1
    )
    lost = {u.job.code for u in again.plan.unlaid}
    kept_jobs = [*jobs[1:], *named]
    if not done:
        assert judge(again.layouts, [j for j in kept_jobs if j.code not in lost], SHORT) == []
    for layout in again.kept:
        assert any(set(layout.placements) <= set(before.placements) for before in first.layouts)


def test_a_new_job_moves_nothing_that_fills_its_run() -> None:
    """Full runs stay as they are; the short last one is laid anew with the newcomer."""
    jobs = [job("A", 40, box(290, 280)), job("B", 4, box(200, 200), 1)]
    first = plan_film(jobs, SHORT)
    again = replan_film([*jobs, job("C", 2, box(100, 100), 2)], SHORT, planned=first.layouts)
    assert again.kept
    assert set(again.kept) <= set(first.layouts)
    assert again.gone == 0
    assert again.moved <= 8


def test_a_cancelled_job_leaves_the_others_where_they_lie() -> None:
    """Its pieces are gone, and nobody else moves while most of the run's ink is still wanted."""
    jobs = [job("A", 10, box(280, 250)), job("small", 1, box(60, 60))]
    rules = replace(ROLL, run_mm=1400)
    first = plan_film(jobs, rules)
    again = replan_film(jobs[:1], rules, planned=first.layouts)
    assert again.gone == 1
    assert again.moved == 0


def test_a_ticket_is_moved_to_another_run_by_pinning_it() -> None:
    """Pinned to the run R2 it lies there, with those that lay there already."""
    jobs = [job("A", 2, box(200, 200)), job("B", 2, box(200, 200), pinned_run="R2")]
    first = plan_film(jobs, ROLL)
    again = replan_film(pin(jobs, "A", "R2"), ROLL, planned=first.layouts)
    assert {layout.run: set(layout.counts()) for layout in again.layouts} == {"R2": {"A", "B"}}


def test_a_ticket_is_taken_out_and_the_rest_stays() -> None:
    """The others lie where they lay; a run of nothing is none."""
    jobs = [job("A", 3, box(100, 100)), job("B", 3, box(100, 100))]
    layout = plan_film(jobs, ROLL).layouts[0]
    by_code = {j.code: j for j in jobs}
    rest = take_out(layout, "A", by_code, ROLL)
    assert rest is not None
    assert rest.placements == tuple(p for p in layout.placements if p.code == "B")
    assert take_out(rest, "B", by_code, ROLL) is None
