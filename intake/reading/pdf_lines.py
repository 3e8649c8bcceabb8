"""How thin the painted lines of a drawing are: strokes through their matrix, and shapes filled like lines."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from intake.reading.pdf_matrix import Box, Matrix, box_round

Point = tuple[float, float]
_CURVE_STEPS = (0.25, 0.5, 0.75, 1.0)
_MOST_CORNERS = 64
_LEAST_ELONGATION = 2.0  # a filled shape is a line when it is at least so much longer than it is wide
_SAMPLED_LINES = 12
_BENT = 0.95  # of the way by the point: a straighter chord passes no corner


class Sample(NamedTuple):
    """A point in the middle of a line and the unit direction across it, in points of the page."""

    x: float
    y: float
    across_x: float
    across_y: float


class ThinLine(NamedTuple):
    """A painted line: width in points, "stroke" or "fill", its box on the page, and where to look at it."""

    width_pt: float
    kind: str
    box: Box
    samples: tuple[Sample, ...]


@dataclass(slots=True)
class Subpath:
    """One run of connected points in user space; curves are four chords."""

    points: list[Point] = field(default_factory=list)
    is_closed: bool = False
    has_curves: bool = False


@dataclass(slots=True)
class Path:
    """The path under construction (ISO 32000-1 8.5.2)."""

    subpaths: list[Subpath] = field(default_factory=list)

    def move(self, x: float, y: float) -> None:
        """Begin a new subpath."""
        self.subpaths.append(Subpath([(x, y)]))

    def line(self, x: float, y: float) -> None:
        """A straight line from the current point."""
        if not self.subpaths:
            self.move(x, y)
        elif self.subpaths[-1].is_closed:
            self.subpaths.append(Subpath([self.subpaths[-1].points[0], (x, y)]))
        else:
            self.subpaths[-1].points.append((x, y))

    def curve(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        """A Bézier curve from the current point."""
        x0, y0 = self.current or (x1, y1)
        for t in _CURVE_STEPS:
            u = 1 - t
            k0, k1, k2, k3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
            self.line(k0 * x0 + k1 * x1 + k2 * x2 + k3 * x3, k0 * y0 + k1 * y1 + k2 * y2 + k3 * y3)
        self.subpaths[-1].has_curves = True

    def rectangle(self, x: float, y: float, wide: float, high: float) -> None:
        """A closed rectangle."""
        corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        self.subpaths.append(Subpath(corners, is_closed=True))

    def close(self) -> None:
        """Close the current subpath."""
        if self.subpaths:
            self.subpaths[-1].is_closed = True

    @property
    def current(self) -> Point | None:
        """The current point."""
        if not self.subpaths:
            return None
        last = self.subpaths[-1]
        return last.points[0] if last.is_closed else last.points[-1]

    def box(self, ctm: Matrix) -> Box | None:
        """The box round the path on the page; None when the path is empty."""
        points = [ctm.apply(x, y) for sub in self.subpaths for x, y in sub.points]
        return box_round(points) if points else None


def stroke_of(path: Path, width: float, ctm: Matrix, sampled_under: float) -> ThinLine | None:
    """The stroke along `path` with line width `width` (user space); None when nothing would be painted.

    Only strokes thinner than `sampled_under` points get samples: others are counted and forgotten.

    Unequal scaling gives a line that is thin in one direction: the thinner counts, width × the least singular
    value. Width 0 is the device's thinnest line (ISO 32000-1 8.4.3.2) and stays 0 under any matrix.
    """
    drawn = [sub for sub in path.subpaths if len(sub.points) > 1 or sub.is_closed]
    if not drawn:
        return None
    greatest, least = ctm.stretches()
    thin, rim = width * least, width * greatest / 2
    box = box_round([ctm.apply(x, y) for sub in drawn for x, y in sub.points]).grown(rim)
    return ThinLine(thin, "stroke", box, _samples_along(drawn, ctm) if thin < sampled_under else ())


def _samples_along(drawn: list[Subpath], ctm: Matrix) -> tuple[Sample, ...]:
    """Samples spread evenly over the lines of a path."""
    starts = [(sub, at) for sub in drawn for at in range(len(sub.points) - (0 if sub.is_closed else 1))]
    step = -(-len(starts) // _SAMPLED_LINES)
    found: list[Sample] = []
    for sub, at in starts[::step]:
        here, there = sub.points[at], sub.points[(at + 1) % len(sub.points)]
        ends = ctm.apply(*here), ctm.apply(*there)
        found += _samples_of_curve(sub, at, ctm) if sub.has_curves else _samples_of_segment(*ends)
    return tuple(found)


def _samples_of_curve(sub: Subpath, at: int, ctm: Matrix) -> list[Sample]:
    """One on the curve itself: the chords between its points run beside it. None at a corner or an end."""
    if not sub.is_closed and at == 0:
        return []
    x, y = ctm.apply(*sub.points[at])
    ax, ay = ctm.apply(*sub.points[at - 1])
    bx, by = ctm.apply(*sub.points[(at + 1) % len(sub.points)])
    before, after, through = (
        math.hypot(x - ax, y - ay),
        math.hypot(bx - x, by - y),
        math.hypot(bx - ax, by - ay),
    )
    if through <= _BENT * (before + after) or not math.isfinite(through):
        return []
    return [Sample(x, y, -(by - ay) / through, (bx - ax) / through)]


def _samples_of_segment(start: Point, end: Point) -> list[Sample]:
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx, dy)
    if length <= 0 or not math.isfinite(length):
        return []
    across = (-dy / length, dx / length)
    return [Sample(start[0] + t * dx, start[1] + t * dy, *across) for t in (0.3, 0.7)]


def thin_fills(path: Path, ctm: Matrix, thicker_than: float) -> Iterator[ThinLine]:
    """Subpaths filled as lines: convex, longer than wide, and thinner than `thicker_than` points.

    A subpath inside another is a hole or lies on ink already, and is left to the measuring of the picture.
    """
    shapes = [_Shape(sub, ctm) for sub in path.subpaths if 2 <= len(sub.points) <= _MOST_CORNERS]
    for shape in shapes:
        thin = shape.thinness(thicker_than)
        if thin is None or any(shape.lies_in(other) for other in shapes[:200] if other is not shape):
            continue
        width, samples = thin
        yield ThinLine(width, "fill", shape.box, samples)


class _Shape:
    """One filled subpath on the page."""

    def __init__(self, sub: Subpath, ctm: Matrix) -> None:
        self.points = _without_repeats([ctm.apply(x, y) for x, y in sub.points])
        self.box = box_round(self.points)

    def lies_in(self, other: _Shape) -> bool:
        """Whether it lies within the box of another, larger one."""
        mine, its = self.box, other.box
        inside = mine.x0 >= its.x0 and mine.y0 >= its.y0 and mine.x1 <= its.x1 and mine.y1 <= its.y1
        return inside and its.area > mine.area

    def thinness(self, thicker_than: float) -> tuple[float, tuple[Sample, ...]] | None:
        """(width, samples) when the shape is a line thinner than `thicker_than`, else None."""
        around = _perimeter(self.points)
        if around <= 0 or not math.isfinite(around):
            return None
        # A convex strip of width w has 2·area ÷ perimeter between w/2 and w: a cheap way out for most shapes.
        if 2 * abs(_area(self.points)) / around >= thicker_than or not _is_convex(self.points):
            return None
        width, along, long = _least_width(self.points)
        if width >= thicker_than or long < _LEAST_ELONGATION * width or long <= 0:
            return None
        middle = (
            sum(p[0] for p in self.points) / len(self.points),
            sum(p[1] for p in self.points) / len(self.points),
        )
        half = (along[0] * long * 0.3, along[1] * long * 0.3)
        ends = ((middle[0] - half[0], middle[1] - half[1]), (middle[0] + half[0], middle[1] + half[1]))
        return width, tuple(_samples_of_segment(*ends))


def _without_repeats(points: list[Point]) -> list[Point]:
    kept = [p for at, p in enumerate(points) if at == 0 or p != points[at - 1]]
    return kept[:-1] if len(kept) > 1 and kept[0] == kept[-1] else kept


def _perimeter(points: list[Point]) -> float:
    return sum(math.dist(p, points[at - 1]) for at, p in enumerate(points))


def _area(points: list[Point]) -> float:
    x0, y0 = points[0]  # taken from a corner: far from the origin the products would cancel
    total = 0.0
    for (ax, ay), (bx, by) in itertools.pairwise(points):
        total += (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
    return total / 2


def _is_convex(points: list[Point]) -> bool:
    turns = 0.0
    size = max(1e-12, _perimeter(points))
    for at in range(len(points)):
        (ax, ay), (bx, by), (cx, cy) = points[at - 2], points[at - 1], points[at]
        turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
        if abs(turn) < 1e-9 * size * size:
            continue
        if turns * turn < 0:
            return False
        turns = turn
    return True


def _least_width(points: list[Point]) -> tuple[float, Point, float]:
    """(least width, unit direction along the shape, length in that direction) of a convex polygon.

    The least width of a convex polygon is attained across one of its edges (the rotating-calipers theorem).
    """
    best = (math.inf, (1.0, 0.0), 0.0)
    for at, (bx, by) in enumerate(points):
        ax, ay = points[at - 1]
        length = math.hypot(bx - ax, by - ay)
        if length <= 0:
            continue
        ux, uy = (bx - ax) / length, (by - ay) / length
        across = [(px - ax) * -uy + (py - ay) * ux for px, py in points]
        along = [(px - ax) * ux + (py - ay) * uy for px, py in points]
        width, long = max(across) - min(across), max(along) - min(along)
        if width < best[0]:
            best = (width, (ux, uy), long)
    return best
