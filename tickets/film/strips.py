"""The strips that a run is cut into straight across the film, and what comes off with each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from tickets.film.model import RunPiece, StoredRun

_LEAST_MM = 2.0  # a narrower way between pieces is no place for a straight cut (common practice)


@dataclass(frozen=True, slots=True)
class Strip:
    """A stretch of film between two straight cuts across, and its pieces; numbered from 1, from the start."""

    number: int
    from_mm: float
    to_mm: float
    pieces: tuple[RunPiece, ...]


@dataclass(frozen=True, slots=True)
class CutTicket:
    """The pieces of one ticket on a run. `number`: from 1, in the order in which tickets come off the film.

    `good` pieces are owed, `spares` printed over, `lost` spoiled on the film. They lie from strip `first` to
    strip `last`, from `from_mm` to `to_mm` along the film.
    """

    number: int
    code: str
    order: str
    artwork: str
    good: int
    spares: int
    lost: int
    first: int
    last: int
    from_mm: float
    to_mm: float


def strips_of(run: StoredRun) -> tuple[Strip, ...]:
    """All strips; where pieces lock into each other one strip holds them all."""
    cuts = _cuts(run.pieces)
    ends = [0.0, *cuts, run.length_mm]
    strips = []
    for at, (start, end) in enumerate(pairwise(ends), start=1):
        inside = tuple(p for p in run.pieces if start <= p.y_mm + p.height_mm / 2 < end)
        strips.append(Strip(at, start, end, inside))
    return tuple(strips)


def tickets_of(run: StoredRun, strips: Iterable[Strip]) -> tuple[CutTicket, ...]:
    """The tickets in the order in which they come off the film, from its start."""
    strip_of = {piece: strip.number for strip in strips for piece in strip.pieces}
    by_code: dict[str, list[RunPiece]] = {}
    for piece in sorted(run.pieces, key=lambda p: (strip_of[p], p.x_mm, p.y_mm)):
        by_code.setdefault(piece.code, []).append(piece)
    return tuple(
        CutTicket(
            number=number,
            code=code,
            order=of[0].order,
            artwork=of[0].artwork,
            good=sum(not (p.spare or p.lost) for p in of),
            spares=sum(p.spare and not p.lost for p in of),
            lost=sum(p.lost for p in of),
            first=min(strip_of[p] for p in of),
            last=max(strip_of[p] for p in of),
            from_mm=min(p.y_mm for p in of),
            to_mm=max(p.y_mm + p.height_mm for p in of),
        )
        for number, (code, of) in enumerate(by_code.items(), start=1)
    )


def _cuts(pieces: Iterable[RunPiece]) -> list[float]:
    """Where a straight cut meets no piece: in the middle of each clear way across."""
    cuts: list[float] = []
    end: float | None = None
    for piece in sorted(pieces, key=lambda p: p.y_mm):
        if end is not None and piece.y_mm - end >= _LEAST_MM:
            cuts.append((end + piece.y_mm) / 2)
        end = max(end if end is not None else 0.0, piece.y_mm + piece.height_mm)
    return cuts
