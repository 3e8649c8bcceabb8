"""Matrices and what they do to lengths and resolutions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.reading.pdf_matrix import Box, Matrix, image_ppi

coefficient = st.floats(-1e4, 1e4, allow_nan=False).filter(lambda v: v == 0 or abs(v) > 1e-4)
matrices = st.builds(Matrix, *[coefficient] * 6)


@given(matrices)
def test_stretches_are_the_singular_values(matrix: Matrix) -> None:
    """The greatest and least stretch are those that numpy's singular value decomposition finds."""
    greatest, least = matrix.stretches()
    expected = np.linalg.svd(np.array([[matrix.a, matrix.b], [matrix.c, matrix.d]]), compute_uv=False)
    assert greatest == pytest.approx(expected[0], rel=1e-9)
    # numpy itself is exact only to the last digits of the greater value
    assert least == pytest.approx(expected[1], rel=1e-6, abs=1e-12 * max(1.0, expected[0]))


@given(matrices, matrices, st.floats(-100, 100), st.floats(-100, 100))
def test_then_applies_one_after_the_other(one: Matrix, other: Matrix, x: float, y: float) -> None:
    """A product of matrices moves a point as its two factors do in turn."""
    together, in_turn = one.then(other).apply(x, y), other.apply(*one.apply(x, y))
    assert together == pytest.approx(in_turn, rel=1e-6, abs=1e-3)


@given(
    st.floats(0, 2 * math.pi),
    st.floats(1, 1000),
    st.floats(1, 1000),
    st.integers(1, 5000),
    st.integers(1, 5000),
)
def test_turning_an_image_does_not_change_its_resolution(
    angle: float, wide_pt: float, high_pt: float, wide_px: int, high_px: int
) -> None:
    """At any angle the resolution is pixels · 72 ÷ edge length, and the worst is the coarser edge."""
    cos, sin = math.cos(angle), math.sin(angle)
    ctm = Matrix(wide_pt * cos, wide_pt * sin, -high_pt * sin, high_pt * cos, 3, 4)
    ppi_x, ppi_y, worst = image_ppi((wide_px, high_px), ctm)
    assert ppi_x == pytest.approx(wide_px * 72 / wide_pt)
    assert ppi_y == pytest.approx(high_px * 72 / high_pt)
    assert worst == pytest.approx(min(ppi_x, ppi_y), rel=1e-5)


def test_a_skewed_image_is_worse_than_both_its_edges() -> None:
    """300 px on edges of 72 and 101.8 pt at 45 degrees: 300, 212.13, and 185.41 ppi at worst."""
    ppi_x, ppi_y, worst = image_ppi((300, 300), Matrix(72, 0, 72, 72, 10, 10))
    assert (round(ppi_x, 2), round(ppi_y, 2), round(worst, 2)) == (300.0, 212.13, 185.41)


def test_an_image_without_extent_has_no_resolution() -> None:
    """A matrix that squeezes the image to a line gives 0, no division by zero."""
    assert image_ppi((10, 10), Matrix(0, 0, 0, 5, 0, 0)) == (0.0, 0.0, 0.0)


def test_boxes_that_only_touch_still_share_a_line() -> None:
    """Boxes side by side share an edge; boxes apart share nothing."""
    assert not Box(0, 0, 1, 1).cut(Box(1, 0, 2, 1)).is_empty()
    assert Box(0, 0, 1, 1).cut(Box(1.1, 0, 2, 1)).is_empty()
