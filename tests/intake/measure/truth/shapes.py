"""Vector shapes in mm with the width, gap and place that they have by construction."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import Point, Polygon, box, union_all
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

Rng = np.random.Generator
MARGIN_MM = 2.0
ARC_STEPS = 256  # a quarter circle of 5 mm then strays 0.0001 mm from the arc


@dataclass(frozen=True)
class Case:
    """One shape on its sheet, shifted by a fraction of a pixel when drawn.

    `line_mm` / `gap_mm`: the thinnest by construction; None: nothing thin may be found. `limit_mm`: what to
    ask for. `place_mm`: where the thinnest is.
    """

    family: str
    shape: BaseGeometry
    width_mm: float
    height_mm: float
    limit_mm: float
    line_mm: float | None = None
    gap_mm: float | None = None
    place_mm: tuple[float, float] | None = None
    islands: int | None = None
    island_mm: float | None = None
    note: str = ""
    soft_px: float = 0.0
    tags: dict[str, float] = field(default_factory=dict)


def placed(shape: BaseGeometry, rng: Rng, **truth: object) -> Case:
    """The shape turned by any angle and put on a sheet with a margin, at a random fraction of a pixel."""
    turned = rotate(shape, float(rng.uniform(0, 360)) if truth.pop("turn", True) else 0.0, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    dx, dy = MARGIN_MM - x0 + float(rng.uniform(0, 0.2)), MARGIN_MM - y0 + float(rng.uniform(0, 0.2))
    spot = truth.pop("at", None)
    if spot is not None:
        raise TypeError("a place is known only for shapes that are symmetric about the origin")
    return Case(
        shape=translate(turned, dx, dy),
        width_mm=x1 - x0 + 2 * MARGIN_MM + 0.2,
        height_mm=y1 - y0 + 2 * MARGIN_MM + 0.2,
        place_mm=(dx, dy) if truth.pop("centred", False) else None,
        **truth,  # type: ignore[arg-type]
    )


def placed_at_angle(shape: BaseGeometry, degrees: float, limit_mm: float) -> Case:
    """The shape turned by a given angle, with a margin, at a fixed fraction of a pixel."""
    turned = rotate(shape, degrees, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    moved = translate(turned, MARGIN_MM - x0 + 0.03, MARGIN_MM - y0 + 0.05)
    return Case("given", moved, x1 - x0 + 2 * MARGIN_MM + 0.1, y1 - y0 + 2 * MARGIN_MM + 0.1, limit_mm)


def limit_for(width: float) -> float:
    """A limit that the width lies about a tenth under."""
    return 1.1 * width


def width_of(rng: Rng) -> float:
    """Widths from 0.10 to 1.70 mm, thin ones more often."""
    return float(np.exp(rng.uniform(np.log(0.10), np.log(1.70))))


def rectangle(length: float, width: float) -> Polygon:
    """A rectangle about the origin."""
    return box(-length / 2, -width / 2, length / 2, width / 2)


def bar(rng: Rng) -> Case:
    """A straight line."""
    w = width_of(rng)
    length = max(3.2 * w, float(rng.uniform(2, 8)))
    return placed(rectangle(length, w), rng, family="bar", limit_mm=limit_for(w), line_mm=w)


def slot(rng: Rng) -> Case:
    """A straight gap through a block, open at both ends."""
    w = width_of(rng)
    block = rectangle(max(4.0, 4 * w), 2 * w + 6.0).difference(rectangle(99, w))
    return placed(block, rng, family="slot", limit_mm=limit_for(w), gap_mm=w)


def annulus(radius: float, width: float) -> BaseGeometry:
    """A ring of a mean radius."""
    outer, inner = (Point(0, 0).buffer(radius + s * width / 2, quad_segs=ARC_STEPS) for s in (1, -1))
    return outer.difference(inner)


def arc(rng: Rng) -> Case:
    """A curved line with blunt ends."""
    w = width_of(rng)
    radius = max(2.5 * w, float(rng.uniform(1.5, 6)))
    sweep = float(rng.uniform(max(3.5 * w / radius, 0.7), 4.5))
    t = np.linspace(0, sweep, 300)
    wedge = Polygon([(0, 0), *zip(3 * radius * np.cos(t), 3 * radius * np.sin(t), strict=True)])
    return placed(annulus(radius, w).intersection(wedge), rng, family="arc", limit_mm=limit_for(w), line_mm=w)


def ring(rng: Rng) -> Case:
    """A closed line."""
    w = width_of(rng)
    return placed(
        annulus(max(3 * w, float(rng.uniform(1.5, 5))), w),
        rng,
        family="ring",
        limit_mm=limit_for(w),
        line_mm=w,
    )


def ring_gap(rng: Rng) -> Case:
    """A closed gap between a disc and a ring of 2.2 times its width, at least 1.3 mm."""
    w = float(np.exp(rng.uniform(np.log(0.10), np.log(1.2))))
    radius, wall = max(2.5 * w, float(rng.uniform(2.0, 4))), max(2.2 * w, 1.3)
    disc = Point(0, 0).buffer(radius - w / 2, quad_segs=ARC_STEPS)
    shape = union_all([disc, annulus(radius + w / 2 + wall / 2, wall)])
    return placed(shape, rng, family="ring gap", limit_mm=limit_for(w), gap_mm=w)


def hourglass(half_width: Callable[[NDArray[np.float64]], NDArray[np.float64]], length: float) -> Polygon:
    """A shape about the x axis whose half width is a function of x."""
    x = np.linspace(-length / 2, length / 2, 401)
    h = half_width(x)
    return Polygon([*zip(x, h, strict=True), *zip(x[::-1], -h[::-1], strict=True)])


def smooth_taper(rng: Rng) -> tuple[float, BaseGeometry]:
    """An hourglass with a smooth waist, 2.2 to 4 times as wide at the ends."""
    w = float(np.exp(rng.uniform(np.log(0.12), np.log(0.9))))
    wide, length = w * float(rng.uniform(2.2, 4)), float(rng.uniform(3, 8)) * max(1.0, 2 * w)
    shape = hourglass(lambda x: 0.5 * (w + (wide - w) * 0.5 * (1 - np.cos(2 * np.pi * x / length))), length)
    ends = [Point(s * length / 2, 0).buffer(wide * 0.8, quad_segs=64) for s in (-1, 1)]
    return w, union_all([shape, *ends])


def taper(rng: Rng) -> Case:
    """A line that thins smoothly to its waist."""
    w, shape = smooth_taper(rng)
    return placed(shape, rng, family="taper", limit_mm=limit_for(w), line_mm=w, centred=True)


def taper_gap(rng: Rng) -> Case:
    """The same as a gap, between discs open to the canvas."""
    w, shape = smooth_taper(rng)
    x0, y0, x1, y1 = shape.bounds
    block = box(x0 + 0.3 * w, y0 - 2.5 - w, x1 - 0.3 * w, y1 + 2.5 + w)
    return placed(
        block.difference(shape), rng, family="taper gap", limit_mm=limit_for(w), gap_mm=w, centred=True
    )


def neck(rng: Rng) -> Case:
    """Two discs joined by a short bar."""
    w = float(np.exp(rng.uniform(np.log(0.12), np.log(0.9))))
    radius, long = w * float(rng.uniform(1.5, 3)) + 0.3, float(rng.uniform(0.3, 1.5)) * max(w, 0.3)
    discs = [Point(s * (radius + long / 2), 0).buffer(radius, quad_segs=ARC_STEPS) for s in (-1, 1)]
    shape = union_all([*discs, rectangle(long + radius, w)])
    return placed(shape, rng, family="neck", limit_mm=limit_for(w), line_mm=w, centred=True)


def bow_tie(rng: Rng) -> tuple[float, Polygon]:
    """Two wedges that overlap at their tips."""
    w = float(np.exp(rng.uniform(np.log(0.12), np.log(0.9))))
    slope = np.tan(np.radians(rng.uniform(10, 55)))
    length = 2 * (3.0 * w + 1.0) / min(slope, 1.0)
    return w, hourglass(lambda x: 0.5 * w + np.abs(x) * slope, min(length, 14.0))


def v_neck(rng: Rng) -> Case:
    """A sharp neck: thinnest at a point."""
    w, shape = bow_tie(rng)
    return placed(shape, rng, family="V neck", limit_mm=limit_for(w), line_mm=w, centred=True)


def v_gap(rng: Rng) -> Case:
    """Two wedges of ink whose tips come close."""
    w, shape = bow_tie(rng)
    x0, y0, x1, y1 = shape.bounds
    block = box(x0 * 0.98, y0 - 1.5, x1 * 0.98, y1 + 1.5)
    return placed(block.difference(shape), rng, family="V gap", limit_mm=limit_for(w), gap_mm=w, centred=True)


def grid(rng: Rng) -> Case:
    """A grid of hairlines."""
    w, gap = float(rng.uniform(0.10, 0.30)), float(rng.uniform(0.35, 1.1))
    count, pitch = int(rng.integers(5, 9)), 0.0
    pitch = w + gap
    long = pitch * count
    lines = [translate(rectangle(long, w), 0, (k - (count - 1) / 2) * pitch) for k in range(count)]
    lines += [rotate(line, 90, origin=(0, 0)) for line in lines]
    return placed(
        union_all(lines),
        rng,
        family="grid",
        limit_mm=max(limit_for(w), limit_for(gap)),
        line_mm=w,
        gap_mm=gap,
    )


def hatch(rng: Rng) -> Case:
    """Parallel hairlines."""
    w, gap = float(rng.uniform(0.10, 0.35)), float(rng.uniform(0.2, 0.9))
    count = int(rng.integers(5, 12))
    lines = [translate(rectangle(6.0, w), 0, (k - count / 2) * (w + gap)) for k in range(count)]
    return placed(
        union_all(lines),
        rng,
        family="hatch",
        limit_mm=max(limit_for(w), limit_for(gap)),
        line_mm=w,
        gap_mm=gap,
    )


def dots(rng: Rng) -> Case:
    """Four round dots of one size, far from each other."""
    d = float(rng.uniform(0.10, 0.9))
    pitch = 2.5
    shape = union_all(
        [
            Point(pitch * i + rng.uniform(-0.1, 0.1), pitch * j + rng.uniform(-0.1, 0.1)).buffer(d / 2, 64)
            for i in range(2)
            for j in range(2)
        ]
    )
    return placed(shape, rng, family="dots", limit_mm=0.3, islands=4, island_mm=d)


def whisker(rng: Rng) -> Case:
    """A line out of a disc; the corners where they meet are no gaps."""
    w = float(np.exp(rng.uniform(np.log(0.10), np.log(0.7))))
    radius, long = max(2 * w, float(rng.uniform(1.2, 3))), max(3.2 * w, 0.7, float(rng.uniform(0.7, 3)))
    stick = translate(rectangle(long + radius, w), (long + radius) / 2, 0)
    shape = union_all([Point(0, 0).buffer(radius, quad_segs=ARC_STEPS), stick])
    return placed(shape, rng, family="whisker", limit_mm=limit_for(w), line_mm=w)
