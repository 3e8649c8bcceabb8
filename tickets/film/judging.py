"""The independent judge of a layout: overlaps, gaps, edges, turns, counts, by another geometry (shapely)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

import numpy as np

from tickets.film.model import Job, Layout, Placement, Ring, Rules, RunPiece, Shape, StoredRun
from tickets.film.outlined import Outlines, outlines_on_film

if TYPE_CHECKING:
    from shapely import Geometry

STORED_MM = 0.02  # places and outlines are kept to hundredths and thousandths
TOLERANCE_MM = 1e-3  # a thousandth: sums of decimals, far below any cutter


class Wrong(StrEnum):
    """What can be wrong with a layout."""

    OVERLAP = "overlap"
    GAP = "gap"
    EDGE = "edge"
    LENGTH = "length"
    TURN = "turn"
    KIND = "kind"
    COUNT = "count"
    UNKNOWN = "unknown ticket"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: on which layout (from 0; None: over all), of which tickets, by how much."""

    wrong: Wrong
    layout: int | None
    codes: tuple[str, ...]
    measured: float


def judge(layouts: Sequence[Layout], jobs: Sequence[Job], rules: Rules) -> list[Fault]:
    """Everything that is wrong with these layouts of all the pieces of these jobs; empty: nothing is."""
    by_code = {job.code: job for job in jobs}
    faults = [
        Fault(Wrong.UNKNOWN, number, (code,), 0.0)
        for number, layout in enumerate(layouts)
        for code in layout.counts()
        if code not in by_code
    ]
    if faults:
        return faults
    for number, layout in enumerate(layouts):
        faults += _judge_run(number, layout, by_code, rules)
    return faults + list(_miscounted(layouts, jobs))


def _judge_run(number: int, layout: Layout, jobs: Mapping[str, Job], rules: Rules) -> Iterator[Fault]:
    for code in layout.counts():
        if jobs[code].film != layout.film:
            yield Fault(Wrong.KIND, number, (code,), 0.0)
    for p in layout.placements:
        if p.turned and not (rules.turning and jobs[p.code].may_turn):
            yield Fault(Wrong.TURN, number, (p.code,), 0.0)
    too_long = layout.length_mm - rules.run_mm
    if too_long > TOLERANCE_MM:
        yield Fault(Wrong.LENGTH, number, (), too_long)
    yield from _out_of_film(number, layout, jobs, rules)
    yield from _too_near(number, layout, jobs, rules)


def _out_of_film(number: int, layout: Layout, jobs: Mapping[str, Job], rules: Rules) -> Iterator[Fault]:
    for p in layout.placements:
        shape = jobs[p.code].shape
        across, along = (shape.height_mm, shape.width_mm) if p.turned else (shape.width_mm, shape.height_mm)
        out = max(
            *(-p.x_mm, p.x_mm + across - rules.printable_mm, rules.edge_mm - p.y_mm),
            p.y_mm + along - (layout.length_mm - rules.edge_mm),
        )
        if out > TOLERANCE_MM:
            yield Fault(Wrong.EDGE, number, (p.code,), out)


def _too_near(number: int, layout: Layout, jobs: Mapping[str, Job], rules: Rules) -> Iterator[Fault]:
    import shapely

    pieces = np.array([_as_it_lies(p, jobs[p.code].shape) for p in layout.placements], dtype=object)
    tree = shapely.STRtree(pieces)
    reach = max(rules.gap_mm - TOLERANCE_MM, 0.0)
    pairs = tree.query(pieces, predicate="dwithin", distance=reach)
    for one, other in pairs.T[pairs[0] < pairs[1]]:
        distance = float(shapely.distance(pieces[one], pieces[other]))
        codes = (layout.placements[one].code, layout.placements[other].code)
        shared = (
            float(shapely.area(shapely.intersection(pieces[one], pieces[other]))) if not distance else 0.0
        )
        if shared > TOLERANCE_MM:
            yield Fault(Wrong.OVERLAP, number, codes, shared)
        elif rules.gap_mm > TOLERANCE_MM:
            yield Fault(Wrong.GAP, number, codes, distance)


def too_near(run: StoredRun, gap_mm: float, outlines: Outlines) -> list[tuple[RunPiece, RunPiece, float]]:
    """The pairs of a stored run's pieces whose outlines are nearer than the gap, and how near, in mm."""
    import shapely

    forms = outlines_on_film(run.pieces, outlines)
    boxes = [shapely.box(p.x_mm, p.y_mm, p.x_mm + p.width_mm, p.y_mm + p.height_mm) for p in run.pieces]
    pieces = np.array(
        [
            _joined(forms[p.number]) if p.number in forms else box
            for p, box in zip(run.pieces, boxes, strict=True)
        ],
        dtype=object,
    )
    reach = max(gap_mm - STORED_MM, 0.0)
    pairs = shapely.STRtree(pieces).query(pieces, predicate="dwithin", distance=reach)
    return [
        (run.pieces[one], run.pieces[other], float(shapely.distance(pieces[one], pieces[other])))
        for one, other in pairs.T[pairs[0] < pairs[1]]
        if shapely.distance(pieces[one], pieces[other]) < reach
    ]


def _joined(rings: Sequence[Ring]) -> Geometry:
    import shapely

    parts: list[Any] = [shapely.make_valid(shapely.Polygon(ring)) for ring in rings]
    return parts[0] if len(parts) == 1 else shapely.union_all(parts)


def polygon_of(shape: Shape) -> Geometry:
    """A piece as shapely has it, not turned: its outlines together, or its box."""
    import shapely

    if not shape.rings:
        return shapely.box(0, 0, shape.width_mm, shape.height_mm)
    rings: list[Any] = [shapely.make_valid(shapely.Polygon(ring)) for ring in shape.rings]
    return rings[0] if len(rings) == 1 else shapely.union_all(rings)


def _as_it_lies(placement: Placement, shape: Shape) -> Geometry:
    import shapely
    from shapely import affinity

    polygon = polygon_of(shape)
    if placement.turned:  # clockwise as seen with y downwards: (x, y) lies at (height - y, x)
        polygon = affinity.affine_transform(polygon, [0, -1, 1, 0, shape.height_mm, 0])
    moved: Geometry = shapely.transform(
        polygon, lambda points: points + np.array([placement.x_mm, placement.y_mm])
    )
    return moved


def _miscounted(layouts: Sequence[Layout], jobs: Sequence[Job]) -> Iterator[Fault]:
    good: Counter[str] = Counter()
    spare: Counter[str] = Counter()
    for layout in layouts:
        for p in layout.placements:
            (spare if p.spare else good)[p.code] += 1
    for job in jobs:
        off = abs(good[job.code] - job.quantity) + abs(spare[job.code] - job.spares)
        if off:
            yield Fault(Wrong.COUNT, None, (job.code,), off)
