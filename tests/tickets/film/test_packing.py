"""The box packer against puzzles whose least strip is known, and on runs that it makes shorter."""

from __future__ import annotations

import statistics
from dataclasses import replace

import pytest
from hypothesis import given, settings

from tests.bench.film_days import shop_day
from tests.bench.puzzles import is_clean, puzzles, solve
from tests.tickets.film.shop_pieces import ROLL, box, job, shop_jobs
from tickets.film.beams import Beam, Leaning
from tickets.film.cutting import boxes_of
from tickets.film.effort import Effort, never
from tickets.film.items import Catalogue
from tickets.film.judging import judge
from tickets.film.lots import lots_of
from tickets.film.model import Job, Layout, Way
from tickets.film.piling import Piler
from tickets.film.planning import layout_of, plan_film
from tickets.film.rows import lay_rows
from tickets.film.shortening import shorten

MOST_PIECES = 60
SECONDS = 0.15  # counted in tries, so that every machine finds the same


def test_no_puzzle_is_solved_below_its_optimum_and_most_nearly_at_it() -> None:
    """Hopper & Turton's and Burke's of up to 60 pieces: judged clean, soon at most 3 % over."""
    gaps = []
    for puzzle in puzzles():
        if puzzle.pieces <= MOST_PIECES:
            layout = solve(puzzle, SECONDS)
            assert layout is not None, puzzle.name
            assert is_clean(puzzle, layout), puzzle.name
            gaps.append(layout.length_mm / puzzle.optimum_mm - 1)
    assert len(gaps) == 18
    assert min(gaps) >= 0
    assert statistics.mean(gaps) <= 0.03


def test_pieces_that_do_not_fit_the_room_are_no_pile() -> None:
    """On three quarters of the least strip not everything can lie: there is no pile, and none is made up."""
    puzzle = next(puzzles())
    short = replace(puzzle, rules=replace(puzzle.rules, run_mm=puzzle.optimum_mm * 0.75))
    assert solve(short, SECONDS) is None


@settings(deadline=None, max_examples=10)
@given(shop_jobs())
def test_a_run_of_boxes_is_never_longer_for_being_shortened(jobs: list[Job]) -> None:
    """The same pieces, turned only where they may be, spares counted as before, judged clean."""
    jobs = [j for j in jobs if j.film == jobs[0].film]
    lots, _ = lots_of(jobs, ROLL)
    piler = Piler(Catalogue(lots, ROLL, by_outline=False), [1.0] * len(lots))
    by_code = {j.code: j for j in jobs}
    placements = lay_rows(lots, ROLL)[0]
    shorter = shorten(placements, piler, Effort(0.05))
    before, after = (layout_of(p, Way.BOXES, by_code, ROLL) for p in (placements, shorter))
    laid = [_laid_of(by_code[code], before, count) for code, count in before.counts().items()]
    assert after.length_mm <= before.length_mm + 0.25
    assert judge([after], laid, ROLL) == []


def _laid_of(one: Job, layout: Layout, count: int) -> Job:
    spares = sum(p.code == one.code and p.spare for p in layout.placements)
    return replace(one, quantity=count - spares, spares=spares)


@pytest.mark.parametrize("by_outline", [False, True])
def test_a_run_by_beam_search_is_judged_clean_and_more_strips_never_lose_much(by_outline: bool) -> None:
    """Thirty jobs of a day, by boxes and outlines: gaps hold, counts are right, 8 strips beat 1, nearly."""
    jobs = shop_day(8)[:30]
    lots, _ = lots_of(jobs, ROLL)
    piler = Piler(Catalogue(lots, ROLL, by_outline=by_outline), [lot.job.shape.width_mm for lot in lots])
    counts = [lot.copies for lot in lots]
    offer = piler.offer(counts, 6)
    assert offer is not None
    values = []
    for kept in (1, 8):
        pile = Beam(offer.supply).search(kept, Leaning(is_share=True), never)
        assert pile is not None
        draft, left = piler.draft(pile, offer, counts)
        layout = layout_of(draft.placements, Way.OUTLINES, {j.code: j for j in jobs}, ROLL)
        laid = [
            replace(lot.job, quantity=before - after)
            for lot, before, after in zip(lots, counts, left, strict=True)
        ]
        assert judge([layout], laid, ROLL) == []
        assert layout.length_mm > 0.9 * ROLL.run_mm
        values.append(pile.value)
    assert values[1] > 0.9 * values[0]


def test_time_that_is_left_makes_a_run_shorter() -> None:
    """Pieces that fill the film exactly once: 28 of three sizes on 1,800 mm of it, gaps counted."""
    jobs = [job("wide", 4, box(291, 292)), job("mid", 8, box(291, 142)), job("small", 16, box(141.5, 142))]
    plan = plan_film(jobs, ROLL, ways=[Way.BOXES], seconds=2.0)
    boxes = boxes_of(plan.layouts[0].placements, {j.code: j for j in jobs})
    assert plan.length_mm == boxes[:, 3].max() + ROLL.edge_mm
    assert plan.length_mm <= 2 * 300 + 4 * 150 + 4 * 150 - 8 + 20 + 1
    assert judge(plan.layouts, jobs, ROLL) == []


def test_a_whole_shop_day_is_laid_in_a_second_and_judged_clean() -> None:
    """Some 7,000 pieces by a second's tries: shapely finds nothing wrong, a tenth of the film is saved."""
    jobs = shop_day(7)
    plan = plan_film(jobs, ROLL, ways=[Way.BOXES], seconds=1.0)
    assert plan.pieces > 6000
    assert judge(plan.layouts, jobs, ROLL) == []
    assert plan.saved_share > 0.1
