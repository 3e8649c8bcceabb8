"""Spoiled film: what is cancelled on it stands in first, then spares; only what is short is made again."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tickets.film.model import RunPiece
from tickets.film.spoiling import numbers_in_length, numbers_of_ticket, spoil


def piece(number: int, code: str = "A", y_mm: float = 0.0, **more: bool) -> RunPiece:
    """A piece of 50 × 100 mm."""
    return RunPiece(number, code, "OB-1", 1, "crest.png", "sha", 0.0, y_mm, 50.0, 100.0, **more)


def test_the_pieces_of_a_length_are_those_that_reach_into_it() -> None:
    """Touching an end is not reaching in; what is lost already is not lost again."""
    pieces = [piece(n, y_mm=100.0 * n) for n in range(5)] + [piece(9, y_mm=250.0, lost=True)]
    assert numbers_in_length(pieces, 100, 300) == {1, 2}
    assert numbers_in_length(pieces, 150, 201) == {1, 2}
    assert numbers_in_length(pieces, 0, float("inf")) == {0, 1, 2, 3, 4}


def test_a_spare_stands_in_before_anything_is_printed_again() -> None:
    """Two lost, one spare left on the film: one starts again."""
    pieces = [piece(1), piece(2), piece(3), piece(4, spare=True)]
    spoilt = spoil(pieces, {"A": 3}, {1, 2})
    assert (spoilt.lost, spoilt.used, spoilt.again) == ((1, 2), (4,), {"A": 1})


def test_spares_in_the_spoiled_length_help_nobody() -> None:
    """A spare that is lost itself stands in for nothing; losing spares alone makes nothing again."""
    pieces = [piece(1), piece(2), piece(3, spare=True)]
    assert spoil(pieces, {"A": 2}, {2, 3}).again == {"A": 1}
    assert spoil(pieces, {"A": 2}, {3}).again == {}


def test_pieces_that_were_cancelled_are_waste_and_stand_in_first() -> None:
    """Three lie on the film and two are still owed: one may be lost for nothing."""
    pieces = [piece(1), piece(2), piece(3), piece(4, spare=True)]
    spoilt = spoil(pieces, {"A": 2}, {1})
    assert (spoilt.used, spoilt.again) == ((), {})


def test_of_a_ticket_so_many_or_all_of_it() -> None:
    """So many count as the last ones that are owed; all of it takes the spares too."""
    pieces = [piece(1), piece(2), piece(3, "B"), piece(4), piece(5, spare=True), piece(6, lost=True)]
    assert numbers_of_ticket(pieces, "A", 2) == {2, 4}
    assert numbers_of_ticket(pieces, "A", None) == {1, 2, 4, 5}


@given(
    st.lists(st.tuples(st.sampled_from("AB"), st.booleans(), st.booleans()), max_size=12),
    st.sets(st.integers(0, 11)),
    st.integers(0, 3),
)
def test_whatever_is_spoiled_nobody_gets_less_than_is_owed(
    laid: list[tuple[str, bool, bool]], lost: set[int], cancelled: int
) -> None:
    """What is left on the film and what is made again is what is owed; spares are used once."""
    pieces = [piece(n, code, spare=spare, lost=gone) for n, (code, spare, gone) in enumerate(laid)]
    whole = [p for p in pieces if not p.lost]
    owed = {code: sum(p.code == code and not p.spare for p in whole) for code in "AB"}
    owed["A"] = max(0, owed["A"] - cancelled)
    spoilt = spoil(pieces, owed, lost)
    left = [p for p in whole if p.number not in lost]
    for code in "AB":
        own = sum(p.code == code and not p.spare for p in left)
        used = sum(p.code == code for p in pieces if p.number in spoilt.used)
        again = spoilt.again.get(code, 0)
        assert own + used + again >= owed[code]
        assert not again or own + used + again == owed[code]
        assert not used or own + used + again == owed[code]
    assert set(spoilt.used) <= {p.number for p in left if p.spare}
