"""A stretch of film to be costed: a run as it was laid, or a job alone in rows before any run exists."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from config.settings_cost import Cost
from tickets.film.model import InkUse, Layout, Ring, Shape


@dataclass(frozen=True, slots=True)
class Piece:
    """One design at its print size: what it takes of the film and what its ink covers."""

    shape: Shape
    ink: InkUse
    may_turn: bool = True


@dataclass(frozen=True, slots=True)
class Laid:
    """So many pieces of one job on a stretch. `area_mm2`: of one piece, with half the gap around it."""

    code: str
    pieces: int
    area_mm2: float
    ink: InkUse


@dataclass(frozen=True, slots=True)
class Stretch:
    """Film that is printed as one. Lengths in mm, minutes are a person's; lead and set-up: its own part."""

    jobs: tuple[Laid, ...]
    length_mm: float
    lead_mm: float
    run_minutes: float
    cutting_minutes: float

    @property
    def film_mm(self) -> float:
        """All the film that it takes off the roll."""
        return self.length_mm + self.lead_mm


def area_with_gap_mm2(shape: Shape, gap_mm: float) -> float:
    """What one piece takes with half the gap all round: its outline grown by it, or its box.

    A convex outline grown by r has its area + perimeter × r + πr² (Steiner's formula); a hollow one less, so
    that it is never more than the box grown.
    """
    half = gap_mm / 2
    box = (shape.width_mm + gap_mm) * (shape.height_mm + gap_mm)
    if not shape.rings:
        return box
    grown = sum(_area(r) + _perimeter(r) * half for r in shape.rings) + math.pi * half * half
    return min(box, grown)


def stretch_of_layout(layout: Layout, pieces: Mapping[str, Piece], cost: Cost) -> Stretch:
    """A run as the planner laid it, with its set-up and, off the roll, its lead. Raises KeyError."""
    jobs = tuple(
        Laid(code, count, area_with_gap_mm2(pieces[code].shape, cost.gap_mm), pieces[code].ink)
        for code, count in sorted(layout.counts().items())
    )
    count = sum(job.pieces for job in jobs)
    cutting = layout.cutting_minutes or count * cost.cut_seconds / 60
    lead_mm = 0.0 if layout.is_sheet else cost.lead_mm
    return Stretch(jobs, layout.length_mm, lead_mm, cost.run_minutes, cutting)


def stretch_in_rows(jobs: Mapping[str, tuple[int, Piece]], printable_mm: float, cost: Cost) -> Stretch:
    """One run whose layout is not known: each job in whole rows, with a whole run's lead and set-up."""
    laid = tuple(_laid(code, count, piece, cost) for code, (count, piece) in sorted(jobs.items()))
    length = sum(rows_mm(piece, count, printable_mm, cost.gap_mm) for count, piece in jobs.values())
    cutting = _cutting_minutes(laid, cost)
    return Stretch(laid, length, cost.lead_mm, cost.run_minutes, cutting)


def stretch_alone(code: str, count: int, piece: Piece, printable_mm: float, cost: Cost) -> Stretch:
    """An estimate of one job before any run: in rows, with its part of a usual run's lead and set-up."""
    length = rows_mm(piece, count, printable_mm, cost.gap_mm)
    part = length / 1000 / cost.run_metres
    laid = (_laid(code, count, piece, cost),)
    cutting = _cutting_minutes(laid, cost)
    return Stretch(laid, length, cost.lead_mm * part, cost.run_minutes * part, cutting)


def rows_mm(piece: Piece, count: int, printable_mm: float, gap_mm: float) -> float:
    """How much roll so many pieces take in whole rows, a gap after each, the way round that takes less."""
    width, height = piece.shape.width_mm, piece.shape.height_mm
    ways = [(width, height), (height, width)] if piece.may_turn else [(width, height)]
    fitting = [way for way in ways if way[0] <= printable_mm] or ways[:1]
    return min(
        math.ceil(count / max(1, math.floor((printable_mm + gap_mm + 1e-6) / (across + gap_mm))))
        * (along + gap_mm)
        for across, along in fitting
    )


def _laid(code: str, count: int, piece: Piece, cost: Cost) -> Laid:
    return Laid(code, count, area_with_gap_mm2(piece.shape, cost.gap_mm), piece.ink)


def _cutting_minutes(laid: Iterable[Laid], cost: Cost) -> float:
    return sum(job.pieces for job in laid) * cost.cut_seconds / 60


def _area(ring: Ring) -> float:
    """The shoelace formula."""
    pairs = zip(ring, (*ring[1:], *ring[:1]), strict=True)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2


def _perimeter(ring: Ring) -> float:
    return sum(math.dist(a, b) for a, b in zip(ring, (*ring[1:], *ring[:1]), strict=True))
