"""Shapes on which nothing may be found up to a limit of 1 mm: solids, stars, wedges, blobs, soft shadows."""

from __future__ import annotations

import numpy as np
from shapely import Point, Polygon, box
from shapely.affinity import scale as stretched

from tests.intake.measure.truth.shapes import Case, Rng, placed, rectangle, whisker

LIMIT_MM = 1.0


def solid(rng: Rng) -> Case:
    """A rectangle, an ellipse or a polygon, all of it wider than the limit."""
    kind = int(rng.integers(3))
    a, b = rng.uniform(1.3, 8, 2)
    if kind == 0:
        shape = rectangle(float(a), float(b))
    elif kind == 1:
        shape = stretched(Point(0, 0).buffer(1, 128), float(a), float(b))
    else:
        n = int(rng.integers(5, 9))
        t = np.arange(n) * 2 * np.pi / n
        shape = Polygon(np.stack([np.cos(t), np.sin(t)], 1) * float(rng.uniform(1.5, 5)))
    return placed(shape, rng, family="solid", limit_mm=LIMIT_MM)


def star_outline(rng: Rng) -> Polygon:
    """A star of 4 to 24 points whose core is wider than the limit."""
    points = int(rng.integers(4, 25))
    outer = float(rng.uniform(2.5, 8))
    inner = max(outer * float(rng.uniform(0.35, 0.8)), 0.9)
    t = np.arange(2 * points) * np.pi / points
    r = np.where(np.arange(2 * points) % 2, inner, outer)
    return Polygon(np.stack([r * np.cos(t), r * np.sin(t)], 1))


def star(rng: Rng) -> Case:
    """A star: its tips are no lines, its notches no gaps."""
    return placed(star_outline(rng), rng, family="star", limit_mm=LIMIT_MM)


def star_hole(rng: Rng) -> Case:
    """A star cut out of a block."""
    shape = star_outline(rng)
    x0, y0, x1, y1 = shape.bounds
    return placed(
        box(x0 - 2, y0 - 2, x1 + 2, y1 + 2).difference(shape), rng, family="star hole", limit_mm=LIMIT_MM
    )


def blob(rng: Rng) -> Case:
    """A wavy outline without a waist."""
    t = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    radius = float(rng.uniform(2, 6))
    r = radius * np.ones_like(t)
    for k in range(2, 7):
        r += radius * float(rng.uniform(0, 0.25 / k)) * np.cos(k * t + rng.uniform(0, 6.28))
    return placed(Polygon(np.stack([r * np.cos(t), r * np.sin(t)], 1)), rng, family="blob", limit_mm=LIMIT_MM)


def wedge(rng: Rng, least: float = 10, most: float = 120) -> Case:
    """A triangle with a tip of 10 to 120 degrees."""
    angle = np.radians(float(rng.uniform(least, most)))
    height = float(min(8.0, 3.5 / np.tan(angle / 2) + 1.5))
    half = height * np.tan(angle / 2)
    return placed(Polygon([(0, 0), (height, half), (height, -half)]), rng, family="wedge", limit_mm=LIMIT_MM)


def needle(rng: Rng) -> Case:
    """A triangle with a tip of 10 to 20 degrees, the kind whose last pixels break off."""
    case = wedge(rng, 10, 20)
    return Case("needle", case.shape, case.width_mm, case.height_mm, LIMIT_MM)


def wedge_notch(rng: Rng) -> Case:
    """A wedge cut into the side of a block."""
    angle = np.radians(float(rng.uniform(10, 120)))
    height = float(min(8.0, 3.5 / np.tan(angle / 2) + 1.5))
    half = height * np.tan(angle / 2)
    block = box(-2.5, -half - 2, height - 0.01, half + 2)
    shape = block.difference(Polygon([(0, 0), (height, half), (height, -half)]))
    return placed(shape, rng, family="wedge notch", limit_mm=LIMIT_MM)


def whisker_corner(rng: Rng) -> Case:
    """A line out of a disc, asked for gaps only."""
    case = whisker(rng)
    return Case(
        "whisker corner", case.shape, case.width_mm, case.height_mm, LIMIT_MM, tags={"gaps_only": 1.0}
    )


def soft_shadow(rng: Rng) -> Case:
    """A blurred solid."""
    case = (solid, blob)[int(rng.integers(2))](rng)
    return Case(
        "soft shadow", case.shape, case.width_mm, case.height_mm, LIMIT_MM, soft_px=float(rng.uniform(3, 12))
    )
