"""How long a layout takes to cut: straight where boxes stand clear of each other, along the ink where not."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from tickets.film.lots import TINY_MM
from tickets.film.model import Job, Placement, Ring, Rules, Shape

Boxes = NDArray[np.float64]  # a row a piece: left, top, right, bottom in mm


def boxes_of(placements: Sequence[Placement], jobs: Mapping[str, Job]) -> Boxes:
    """The boxes of pieces as they lie. Raises KeyError for a ticket that is not among the jobs."""
    rows = [(p.x_mm, p.y_mm, *box_of(jobs[p.code].shape, p.turned)) for p in placements]
    boxes = np.array(rows, dtype=np.float64).reshape(-1, 4)
    boxes[:, 2:] += boxes[:, :2]
    return boxes


def box_of(shape: Shape, turned: bool) -> tuple[float, float]:
    """How much a piece takes across and along the film in mm."""
    return (shape.height_mm, shape.width_mm) if turned else (shape.width_mm, shape.height_mm)


def area_of(shape: Shape) -> float:
    """The area within the outlines of a piece in mm²; of its box where it has none."""
    return sum(map(ring_area, shape.rings)) if shape.rings else shape.width_mm * shape.height_mm


def ring_area(ring: Ring) -> float:
    """The area within a closed outline in mm² (shoelace)."""
    ends = [*ring[1:], ring[0]]
    return abs(sum(x * v - u * y for (x, y), (u, v) in zip(ring, ends, strict=True))) / 2


def round_of(shape: Shape) -> float:
    """How long a cut round a piece is in mm."""
    if not shape.rings:
        return 2 * (shape.width_mm + shape.height_mm)
    return sum(
        math.dist(a, b) for ring in shape.rings for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)
    )


def interlocked(boxes: Boxes) -> NDArray[np.bool_]:
    """Which pieces' boxes reach into another's: no straight cut frees them."""
    order = np.argsort(boxes[:, 1], kind="stable")
    found = np.zeros(len(boxes), dtype=bool)
    ordered = boxes[order]
    ends = np.searchsorted(ordered[:, 1], ordered[:, 3] - TINY_MM)
    for at, (left, _, right, _) in enumerate(ordered):
        near = ordered[at + 1 : ends[at]]
        meets = (near[:, 0] < right - TINY_MM) & (near[:, 2] > left + TINY_MM)
        if meets.any():
            found[order[at]] = True
            found[order[at + 1 : ends[at]][meets]] = True
    return found


def is_straight(boxes: Boxes) -> bool:
    """Whether cuts from edge to edge, each through what the one before left, free every piece."""
    waiting = [np.arange(len(boxes))]
    while waiting:
        some = waiting.pop()
        if len(some) > 1:
            parts = next((p for axis in (1, 0) if len(p := _cut(boxes[some], some, axis)) > 1), None)
            if parts is None:
                return False
            waiting += parts
    return True


def _cut(boxes: Boxes, names: NDArray[np.intp], axis: int) -> list[NDArray[np.intp]]:
    order = np.argsort(boxes[:, axis], kind="stable")
    reached = np.maximum.accumulate(boxes[order, axis + 2])[:-1]
    clear = np.flatnonzero(boxes[order, axis][1:] >= reached - TINY_MM) + 1
    return list(np.split(names[order], clear))


def cutting_minutes(placements: Sequence[Placement], jobs: Mapping[str, Job], rules: Rules) -> float:
    """How many minutes the pieces take to cut.

    A cut between two pieces serves both, so each takes half its round: at the straight speed where its box
    stands clear, along its outline where it reaches into another's.
    """
    boxes = boxes_of(placements, jobs)
    minutes = 0.0
    for placement, locked in zip(placements, interlocked(boxes), strict=True):
        shape = jobs[placement.code].shape
        straight_mm = shape.width_mm + shape.height_mm
        slow = round_of(shape) / 2 / rules.cut_outline_mm_per_minute
        minutes += slow if locked else straight_mm / rules.cut_straight_mm_per_minute
    return minutes
