"""The finisher: kept only if shorter and judged clean, whatever it does; and the real one on a small run."""

from __future__ import annotations

from collections.abc import Sequence

from tests.bench.outlines import instances, lay
from tests.tickets.film.shop_pieces import ROLL, box, disc, ell, job
from tickets.film.finishing import Loose, Put, finish
from tickets.film.judging import judge
from tickets.film.model import Way
from tickets.film.planning import plan_film
from tickets.film_finisher import finish_by_spyrrow

JOBS = [
    job("discs", 9, disc(120), spares=1),
    job("boxes", 5, box(200, 90)),
    job("ells", 6, ell(180, 240, 0.3)),
]
BY_CODE = {j.code: j for j in JOBS}
ROWS = plan_film(JOBS, ROLL, ways=[Way.ROWS]).layouts[0]


def test_the_real_finisher_shortens_a_run_of_rows() -> None:
    """In its child process, two seconds: shorter than rows, clean, all pieces and spares there."""
    finished = finish(ROWS, BY_CODE, ROLL, finish_by_spyrrow, seconds=2)
    assert finished.way is Way.FINISHED
    assert finished.length_mm < ROWS.length_mm
    assert judge([finished], JOBS, ROLL) == []


def test_pieces_that_it_may_not_turn_are_not_turned() -> None:
    """`may_turn` reaches the finisher."""
    jobs = [job("boxes", 8, box(250, 70), may_turn=False), job("discs", 6, disc(150))]
    rows = plan_film(jobs, ROLL, ways=[Way.ROWS]).layouts[0]
    finished = finish(rows, {j.code: j for j in jobs}, ROLL, finish_by_spyrrow, seconds=1)
    assert judge([finished], jobs, ROLL) == []


def test_a_published_set_of_outlines_is_laid_clean_and_dense() -> None:
    """Fujita's twelve pieces, which may lie four ways: judged by shapely; the published mean is 92 %."""
    fujita = next(instance for instance in instances() if instance.name == "fu")
    density, faults = lay(fujita, 2)
    assert faults == []
    assert 65 <= density <= fujita.published_best


def test_a_piece_that_panics_it_costs_nothing_but_the_try() -> None:
    """A piece wider than the film makes its engine panic: the answer is None, the planner lives."""
    assert finish_by_spyrrow([Loose(((0, 0), (900, 0), (900, 900), (0, 900)), 1, True)], 590, 8, 1) is None


def test_an_answer_that_overlaps_or_lacks_pieces_is_not_kept() -> None:
    """A finisher that heaps everything up, one that loses a piece, one that fails: the run stays."""

    def heap(pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int) -> list[Put]:
        assert across_mm > gap_mm < seconds
        return [Put(number, 0, 0, False) for number, piece in enumerate(pieces) for _ in range(piece.copies)]

    def lose(pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int) -> list[Put]:
        return heap(pieces, across_mm, gap_mm, seconds)[1:]

    def fail(pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int) -> list[Put] | None:
        assert pieces
        assert across_mm > gap_mm < seconds
        return None

    for finisher in (heap, lose, fail):
        assert finish(ROWS, BY_CODE, ROLL, finisher) is ROWS
