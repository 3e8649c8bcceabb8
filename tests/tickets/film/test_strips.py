"""The strips that a run is cut into, and in what order its tickets come off the film."""

from __future__ import annotations

from hypothesis import given

from tests.tickets.film.test_paging import piece, runs
from tickets.film.model import StoredRun
from tickets.film.strips import strips_of, tickets_of


@given(run=runs())
def test_every_piece_lies_whole_in_one_strip(run: StoredRun) -> None:
    """No straight cut meets a piece; strips follow on each other from end to end of the film."""
    strips = strips_of(run)
    assert strips[0].from_mm == 0
    assert strips[-1].to_mm == run.length_mm
    assert sorted(p.number for s in strips for p in s.pieces) == sorted(p.number for p in run.pieces)
    for strip in strips:
        assert all(strip.from_mm < p.y_mm for p in strip.pieces)
        assert all(p.y_mm + p.height_mm < strip.to_mm for p in strip.pieces)


@given(run=runs())
def test_tickets_add_up_to_the_run(run: StoredRun) -> None:
    """Each ticket once, with all of its pieces, in the order of its first strip."""
    tickets = tickets_of(run, strips_of(run))
    assert sum(t.good + t.spares + t.lost for t in tickets) == len(run.pieces)
    assert [t.number for t in tickets] == list(range(1, len(tickets) + 1))
    assert sorted(t.first for t in tickets) == [t.first for t in tickets]


def test_spares_and_lost_pieces_are_counted_apart() -> None:
    """Two owed, one printed over, one spoiled on the film."""
    row = [
        piece(1, (0, 18, 50, 50)),
        piece(9, (58, 18, 50, 50)),
        piece(17, (116, 18, 50, 50), spare=True),
        piece(25, (174, 18, 50, 50), lost=True),
    ]
    run = StoredRun("R4K7X", "hot peel", 590, 86, tuple(row))
    (ticket,) = tickets_of(run, strips_of(run))
    assert (ticket.good, ticket.spares, ticket.lost) == (2, 1, 1)
