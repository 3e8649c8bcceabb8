"""Plane affine matrices as PDF writes them, and what they do to lengths."""

from __future__ import annotations

import math
from typing import NamedTuple


class Matrix(NamedTuple):
    """[a b c d e f] of ISO 32000-1 8.3.3: x' = a·x + c·y + e, y' = b·x + d·y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, after: Matrix) -> Matrix:
        """This transformation, and `after` on its result (the product M × M' of ISO 32000-1 8.3.4)."""
        a, b, c, d, e, f = self
        k, l, m, n, o, p = after  # noqa: E741 - the letters are coefficients
        return Matrix(
            a * k + b * m,
            a * l + b * n,
            c * k + d * m,
            c * l + d * n,
            e * k + f * m + o,
            e * l + f * n + p,
        )

    def apply(self, x: float, y: float) -> tuple[float, float]:
        """The point (x, y) after the transformation."""
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def stretches(self) -> tuple[float, float]:
        """(greatest, least) factor by which a length grows: the singular values of the linear part."""
        a, b, c, d = self.a, self.b, self.c, self.d
        half = (a * a + b * b + c * c + d * d) / 2
        det = a * d - b * c
        root = math.sqrt(max(0.0, half * half - det * det))
        greatest = math.sqrt(half + root)
        # det / greatest instead of sqrt(half - root): no cancellation when the matrix is nearly singular
        return greatest, (abs(det) / greatest if greatest > 0 else 0.0)

    def box_of(self, x0: float, y0: float, x1: float, y1: float) -> Box:
        """The upright box round the transformed rectangle."""
        corners = [self.apply(x, y) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        return box_round(corners)

    def is_finite(self) -> bool:
        """Whether every coefficient is an ordinary number."""
        return all(math.isfinite(v) and abs(v) < 1e12 for v in self)


class Box(NamedTuple):
    """An upright box from (x0, y0) to (x1, y1), x0 ≤ x1 and y0 ≤ y1; empty when they don't."""

    x0: float
    y0: float
    x1: float
    y1: float

    def cut(self, other: Box) -> Box:
        """What both boxes cover; empty (see `is_empty`) when nothing."""
        return Box(
            max(self.x0, other.x0), max(self.y0, other.y0), min(self.x1, other.x1), min(self.y1, other.y1)
        )

    def is_empty(self) -> bool:
        """Whether the box holds not even a line; a box without width or height still holds one."""
        return self.x0 > self.x1 or self.y0 > self.y1

    def grown(self, by: float) -> Box:
        """The box with a rim of `by` on every side."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def as_place(self) -> tuple[float, float, float, float]:
        """(x, y, width, height)."""
        return self.x0, self.y0, max(0.0, self.x1 - self.x0), max(0.0, self.y1 - self.y0)

    @property
    def area(self) -> float:
        """Width × height; 0 when empty."""
        return max(0.0, self.x1 - self.x0) * max(0.0, self.y1 - self.y0)


def box_round(points: list[tuple[float, float]]) -> Box:
    """The smallest upright box that holds all the points."""
    xs = [p[0] for p in points]
    ys = [p[1] for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def image_ppi(pixels: tuple[int, int], ctm: Matrix) -> tuple[float, float, float]:
    """(along the rows, along the columns, worst in any direction) in pixels an inch of an image under `ctm`.

    `ctm` maps the unit square to points of 1/72 inch (ISO 32000-1 8.9.5.1). The edges give
    `px · 72 / length`; when the matrix skews, detail is stretched most in a direction that is no edge:
    72 / the greatest singular value of the pixel-to-point matrix. 0 for an image without extent.
    """
    wide, high = pixels
    along = math.hypot(ctm.a, ctm.b)
    across = math.hypot(ctm.c, ctm.d)
    if along <= 0 or across <= 0 or wide <= 0 or high <= 0:
        return 0.0, 0.0, 0.0
    greatest, _ = Matrix(ctm.a / wide, ctm.b / wide, ctm.c / high, ctm.d / high).stretches()
    ppi_x, ppi_y = wide * 72 / along, high * 72 / across
    worst = min(72 / greatest, ppi_x, ppi_y)
    # Without skew the worst direction is an edge: rounding must not make it a third number.
    return ppi_x, ppi_y, min(ppi_x, ppi_y) if worst > min(ppi_x, ppi_y) * (1 - 1e-6) else worst
