"""The finisher of a run, as the planner sees it: a shorter layout is kept only if it is judged clean."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol

from tickets.film.judging import judge
from tickets.film.model import Job, Layout, Placement, Ring, Rules, Shape, Way
from tickets.film.planning import layout_of

ARM_MM = 1.0
SHORT_MM = 0.01
MOST_PIECES = 400  # more than that and its first fill alone takes longer than it is given


@dataclass(frozen=True, slots=True)
class Loose:
    """Pieces of one outline in mm that are to be laid.

    `angles`: in degrees clockwise as they may lie; (): as they are, and by 90° where they `may_turn`.
    """

    ring: Ring
    copies: int
    may_turn: bool
    angles: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Put:
    """One piece as the finisher laid it: which of the loose ones, its box's top left in mm, turned or not.

    `angle`: how it lies, in degrees clockwise; for a piece of a run 0, or 90 where it is `turned`. Where a
    piece came with `angles` of its own its box is that of its outline as it lies.
    """

    number: int
    x_mm: float
    y_mm: float
    turned: bool
    angle: float = 0.0


class Finisher(Protocol):
    """Lays pieces on as little film as it can in some seconds; somewhere else, for it may fail or hang."""

    def __call__(
        self, pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int
    ) -> list[Put] | None:
        """Where every piece lies, from (0, 0); None when it found nothing or failed."""


def finish(
    layout: Layout, jobs: Mapping[str, Job], rules: Rules, finisher: Finisher, *, seconds: int = 10
) -> Layout:
    """The run as the finisher lays it, if shorter, judged clean and worth its cutting; else as it was."""
    if not layout.placements or len(layout.placements) > MOST_PIECES or rules.is_sheet:
        return layout
    codes = list(layout.counts())
    loose = [
        Loose(_reaching(jobs[c].shape), layout.counts()[c], rules.turning and jobs[c].may_turn) for c in codes
    ]
    puts = finisher(loose, rules.printable_mm, rules.gap_mm, seconds)
    if puts is None or sorted(p.number for p in puts) != sorted(_numbers(loose)):
        return layout
    finished = replace(
        layout_of(_placements(puts, codes, layout, rules), Way.FINISHED, jobs, rules), run=layout.run
    )
    return finished if _is_better(finished, layout, jobs, rules) else layout


def _numbers(loose: Sequence[Loose]) -> list[int]:
    return [number for number, piece in enumerate(loose) for _ in range(piece.copies)]


def _hull(shape: Shape) -> Ring:
    """The outline that a piece is given by; several are joined to their hull, for the finisher takes one."""
    if len(shape.rings) == 1:
        return shape.rings[0]
    if not shape.rings:
        return ((0, 0), (shape.width_mm, 0), (shape.width_mm, shape.height_mm), (0, shape.height_mm))
    import shapely

    hull: Any = shapely.MultiPoint([at for ring in shape.rings for at in ring]).convex_hull
    return tuple((float(x), float(y)) for x, y in hull.exterior.coords[:-1])


def _reaching(shape: Shape) -> Ring:
    """The outline with a thin arm to each side of its box that it does not reach: boxes stay on the film."""
    hull = _hull(shape)
    left, right = min(hull), max(hull)
    top, bottom = min(hull, key=lambda at: at[1]), max(hull, key=lambda at: at[1])
    wide, high = shape.width_mm, shape.height_mm
    arms = [
        (0.0, left[1] - ARM_MM, left[0] + ARM_MM, left[1] + ARM_MM),
        (right[0] - ARM_MM, right[1] - ARM_MM, wide, right[1] + ARM_MM),
        (top[0] - ARM_MM, 0.0, top[0] + ARM_MM, top[1] + ARM_MM),
        (bottom[0] - ARM_MM, bottom[1] - ARM_MM, bottom[0] + ARM_MM, high),
    ]
    by_mm = (left[0], wide - right[0], top[1], high - bottom[1])
    short = [arm for arm, short_mm in zip(arms, by_mm, strict=True) if short_mm > SHORT_MM]
    if not short:
        return hull
    import shapely

    box = shapely.box(0, 0, wide, high)
    ink = shapely.make_valid(shapely.Polygon(hull))
    whole: Any = shapely.union_all([ink, *(shapely.box(*arm) for arm in short)])
    parts = shapely.get_parts(shapely.intersection(whole, box))
    outline = max((part for part in parts if part.geom_type == "Polygon"), key=shapely.area)
    return tuple((float(x), float(y)) for x, y in outline.exterior.coords[:-1])


def _placements(puts: Sequence[Put], codes: Sequence[str], layout: Layout, rules: Rules) -> list[Placement]:
    """In order along the film; the last of each ticket are its spares, as many as there were."""
    spares = {code: sum(p.spare for p in layout.placements if p.code == code) for code in codes}
    left = dict(layout.counts())
    placed = []
    for put in sorted(puts, key=lambda p: (p.y_mm, p.x_mm)):
        code = codes[put.number]
        is_spare = left[code] <= spares[code]
        left[code] -= 1
        placed.append(Placement(code, put.x_mm, put.y_mm + rules.edge_mm, put.turned, is_spare))
    return placed


def _is_better(finished: Layout, layout: Layout, jobs: Mapping[str, Job], rules: Rules) -> bool:
    saved_mm = layout.length_mm - finished.length_mm
    dearer = (finished.cutting_minutes - layout.cutting_minutes) * rules.minute_costs
    if saved_mm <= 0 or (rules.metre_costs and saved_mm / 1000 * rules.metre_costs <= dearer):
        return False
    good = {code: sum(p.code == code and not p.spare for p in layout.placements) for code in layout.counts()}
    there = [
        replace(jobs[code], quantity=good[code], spares=count - good[code])
        for code, count in layout.counts().items()
    ]
    return not judge([finished], there, rules)
