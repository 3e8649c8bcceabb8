"""Where a run is parted into pages: no page longer than readers take, and none of its pieces cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from tickets.film.model import RunPiece, StoredRun

# 14,400 units of 1/72 inch (ISO 32000-1, annex C) are 5.08 m; beyond, readers disagree on UserUnit.
LONGEST_PAGE_MM = 5000.0


@dataclass(frozen=True, slots=True)
class FilmPage:
    """One page of a run's file: the stretch of film from `from_mm` to `to_mm`, and the pieces on it.

    Lengths along the film as it is printed. `moved_mm`: how much further along than planned these pieces lie,
    because pieces that lock into each other had to be drawn apart.
    """

    from_mm: float
    to_mm: float
    pieces: tuple[RunPiece, ...]
    moved_mm: float = 0.0

    @property
    def length_mm(self) -> float:
        """How long the page is."""
        return self.to_mm - self.from_mm

    def y_mm(self, piece: RunPiece) -> float:
        """Where a piece's box begins, from the top of this page."""
        return piece.y_mm + self.moved_mm - self.from_mm


def part_run(
    run: StoredRun, *, gap_mm: float, ends_mm: float = 0.0, longest_mm: float = LONGEST_PAGE_MM
) -> tuple[FilmPage, ...]:
    """The pages of a run. `ends_mm`: film that either end takes beyond the plan, for its label.

    A page is longer than `longest_mm` only where one piece alone makes it so.
    """
    left = sorted(run.pieces, key=lambda p: (p.y_mm, p.x_mm))
    tail_mm = run.length_mm - max((p.y_mm + p.height_mm for p in left), default=run.length_mm) + ends_mm
    pages: list[FilmPage] = []
    start, moved = 0.0, ends_mm  # of the page, along the printed film; plan + moved is where a piece lies
    while left:
        whole = max(p.y_mm + p.height_mm for p in left) + moved + tail_mm - start
        if whole <= longest_mm:
            break
        count = _fit(left, start - moved, longest_mm, gap_mm)
        if count == len(left):
            break
        head, left = left[:count], left[count:]
        last = max(p.y_mm + p.height_mm for p in head)
        first = min(p.y_mm for p in left)
        apart = max(0.0, last + gap_mm - first)
        end = max(min(moved + (last + first + apart) / 2, start + longest_mm), moved + last + gap_mm / 2)
        pages.append(FilmPage(start, end, tuple(head), moved))
        start, moved = end, moved + apart
    pages.append(FilmPage(start, run.length_mm + moved + ends_mm, tuple(left), moved))
    return tuple(pages)


def _fit(pieces: Sequence[RunPiece], start_mm: float, longest_mm: float, gap_mm: float) -> int:
    """How many of the pieces, in order, make a page: drawn apart as little as can be, then as many as fit."""
    best: tuple[float, int] | None = None  # drawn apart by so many mm, minus so many pieces
    last = 0.0
    for count, (piece, following) in enumerate(pairwise(pieces), start=1):
        last = max(last, piece.y_mm + piece.height_mm)
        if best is not None and last + gap_mm / 2 - start_mm > longest_mm:
            break
        apart = max(0.0, last + gap_mm - following.y_mm)
        rated = (round(apart, 3), -count)
        best = rated if best is None else min(best, rated)
    return -best[1] if best else len(pieces)
