"""What is lost when film of a run is spoiled: whose pieces start again, and which spares stand in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from tickets.film.model import RunPiece


@dataclass(frozen=True, slots=True)
class Spoilt:
    """`lost`: the pieces that are spoiled, by number; `used`: the spares that take a lost one's place.

    `again`: how many pieces of each ticket must be printed again, by its code.
    """

    lost: tuple[int, ...]
    used: tuple[int, ...]
    again: Mapping[str, int]

    def spares_used(self, pieces: Sequence[RunPiece]) -> Mapping[str, int]:
        """How many spares of each ticket stand in."""
        return Counter(piece.code for piece in pieces if piece.number in set(self.used))


def spoil(pieces: Sequence[RunPiece], waiting: Mapping[str, int], lost: Collection[int]) -> Spoilt:
    """What follows when the pieces of these numbers are spoiled.

    `waiting`: how many pieces of each ticket the books have in the run. What lies on the film beyond that
    (pieces that were cancelled) stands in first, then spares, and only what is still short is printed again.
    """
    gone = [piece for piece in pieces if piece.number in lost and not piece.lost]
    left = [piece for piece in pieces if piece.number not in lost and not piece.lost]
    used: list[int] = []
    again: Counter[str] = Counter()
    for code in dict.fromkeys(piece.code for piece in gone):
        own = sum(piece.code == code and not piece.spare for piece in left)
        spares = [piece.number for piece in left if piece.code == code and piece.spare]
        short = max(0, waiting.get(code, 0) - own)
        used += spares[:short]
        again[code] = short - len(spares[:short])
    return Spoilt(tuple(piece.number for piece in gone), tuple(used), +again)


def numbers_in_length(pieces: Sequence[RunPiece], from_mm: float, to_mm: float) -> set[int]:
    """The pieces that reach into a length of the film, from the run's start."""
    return {p.number for p in pieces if p.y_mm < to_mm and p.y_mm + p.height_mm > from_mm and not p.lost}


def numbers_of_ticket(pieces: Sequence[RunPiece], code: str, count: int | None) -> set[int]:
    """So many pieces of a ticket, the last on the film first (None: all, spares too).

    Nobody told which ones were spoiled: the books only have to know how many are left.
    """
    own = [piece for piece in pieces if piece.code == code and not piece.lost]
    if count is None:
        return {piece.number for piece in own}
    owed = sorted((piece for piece in own if not piece.spare), key=lambda p: -p.number)
    return {piece.number for piece in owed[:count]}
