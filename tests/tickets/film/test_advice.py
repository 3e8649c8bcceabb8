"""Size advice: the trade's own example, money, and that a smaller size is never advised for nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from config.settings import load_settings
from tests.tickets.film.shop_pieces import ROLL, box, ell, job, shop_jobs
from tickets.film.advice import advise, advise_all, resized
from tickets.film.model import Job, Way
from tickets.film.planning import plan_film
from tickets.film.rules import rules_of, spares_for


def test_a_back_of_300_by_400_is_advised_to_be_291_wide() -> None:
    """The trade's arithmetic: turned it takes 308 mm of roll, at 291 × 388 198 mm a piece, 36 % less."""
    advice = advise(job("backs", 100, box(300, 400)), replace(ROLL, metre_costs=2.5))
    assert advice is not None
    assert advice.width_mm == pytest.approx(291)
    assert advice.height_mm == pytest.approx(388)
    assert advice.across == (1, 2)
    assert not advice.turned
    assert advice.now_mm / 100 == pytest.approx(308)
    assert advice.then_mm / 100 == pytest.approx(198)
    assert advice.saved_mm / advice.now_mm == pytest.approx(0.357, abs=0.001)
    assert advice.saved_money == pytest.approx(11.0 * 2.5)


def test_a_design_that_only_needs_turning_gets_no_advice() -> None:
    """400 × 290 lies two across turned; three per cent smaller it would lie no better, unturned far worse."""
    assert advise(job("backs", 56, box(400, 290)), ROLL) is None
    assert advise(job("backs", 56, box(400, 300)), ROLL) is not None


def test_nothing_more_than_the_limit_smaller_is_advised() -> None:
    """A back of 320 mm would have to lose 9 %: that is another design."""
    assert advise(job("backs", 10, box(320, 320), may_turn=False), ROLL) is None
    assert advise(job("backs", 10, box(320, 320), may_turn=False), ROLL, most_less=0.1) is not None


@settings(deadline=None, max_examples=80)
@given(shop_jobs())
def test_what_is_advised_saves_what_it_says(jobs: list[Job]) -> None:
    """Laid in rows at the advised size, each job takes exactly as much less film as was told."""
    for each in (j for j in jobs if (a := advise(j, ROLL)) and a.then_mm < 9000):
        advice = advise(each, ROLL)
        assert advice is not None
        rows = [
            plan_film([j], replace(ROLL, run_mm=1e6), ways=[Way.ROWS]) for j in (each, resized(each, advice))
        ]
        assert rows[0].rows_mm - rows[1].rows_mm == pytest.approx(advice.saved_mm)
        assert 0.95 <= advice.factor < 1


def test_the_largest_saving_comes_first_and_outlines_shrink_along() -> None:
    """Over many jobs; the outline of a resized job stays in its box."""
    jobs = [job("few", 4, ell(300, 400)), job("many", 40, ell(300, 400))]
    found = advise_all(jobs, ROLL)
    assert [a.code for a in found] == ["many", "few"]
    shape = resized(jobs[0], found[1]).shape
    assert max(x for x, _ in shape.rings[0]) == pytest.approx(shape.width_mm)


def test_rules_come_from_the_settings_for_roll_and_sheet() -> None:
    """The shipped roll, a roll of 300 mm, and the sheet of a desktop oven; spares by number or per cent."""
    film = load_settings(None, {}).film
    assert rules_of(film).printable_mm == 590
    assert rules_of(film, width_mm=300).printable_mm == 290
    sheet = rules_of(film, width_mm=600, sheet_mm=460)
    plan = plan_film([job("A", 30, box(100, 100))], sheet)
    assert {layout.length_mm for layout in plan.layouts} == {460}
    generous = film.model_copy(
        update={"laying": film.laying.model_copy(update={"spares": 1, "spares_percent": 5.0})}
    )
    assert [spares_for(n, generous) for n in (0, 4, 40, 41)] == [0, 1, 2, 3]
