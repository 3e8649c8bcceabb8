"""Outlines of ink: none of it lies outside, whatever its form, and they have few corners."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.facts import PrintSize
from intake.film.inkcells import InkCells
from tickets.film.model import Ring, Shape
from tickets.film.outlining import MOST_CORNERS


def outline_of(coverage: np.ndarray, width_mm: float, height_mm: float) -> tuple[Ring, ...]:
    """The outlines as the check finds them, while the picture goes by in bands of an odd height."""
    rows, columns = coverage.shape
    cells = InkCells(columns, rows, PrintSize(width_mm, height_mm))
    rgba = np.zeros((rows, columns, 4), np.uint8)
    rgba[..., 3] = coverage
    for top in range(0, rows, 37):
        cells.add(rgba[top : top + 37])
    return cells.outline()


def covered_pixels(coverage: np.ndarray, width_mm: float, height_mm: float) -> bool:
    """Whether every corner of every inked pixel lies within the outlines (by shapely)."""
    import shapely

    from tickets.film.judging import polygon_of

    outline = shapely.buffer(
        polygon_of(Shape(width_mm, height_mm, outline_of(coverage, width_mm, height_mm))), 1e-6
    )
    rows, columns = np.nonzero(coverage)
    wide, high = width_mm / coverage.shape[1], height_mm / coverage.shape[0]
    boxes = shapely.box(columns * wide, rows * high, (columns + 1) * wide, (rows + 1) * high)
    return bool(shapely.covers(outline, boxes).all())


@settings(deadline=None, max_examples=25)
@given(
    st.integers(0, 2**32 - 1),
    st.integers(20, 220),
    st.integers(20, 220),
    st.sampled_from((20.0, 90.0, 300.0)),
)
def test_no_ink_lies_outside(seed: int, rows: int, columns: int, width_mm: float) -> None:
    """Blots, lines and specks thrown from a seed, printed at several sizes."""
    dice = np.random.default_rng(seed)
    coverage = np.zeros((rows, columns), np.uint8)
    for _ in range(int(dice.integers(1, 6))):
        y, x = int(dice.integers(rows)), int(dice.integers(columns))
        coverage[y : y + int(dice.integers(1, rows)), x : x + int(dice.integers(1, columns))] = 255
    down, over = np.ogrid[:rows, :columns]
    coverage[(over - columns / 3) ** 2 + (down - rows / 3) ** 2 < (min(rows, columns) / 4) ** 2] = 1
    assert covered_pixels(coverage, width_mm, width_mm * rows / columns)


def test_a_disc_is_hugged_with_few_corners() -> None:
    """A disc of 100 mm: at most 3 % more area than it has, and fewer corners than a hundred."""
    y, x = np.ogrid[:1200, :1200]
    rings = outline_of((x - 599.5) ** 2 + (y - 599.5) ** 2 <= 600**2, 100.0, 100.0)
    from tickets.film.cutting import ring_area

    assert len(rings) == 1
    assert len(rings[0]) < 100
    assert 1.0 <= ring_area(rings[0]) / (np.pi * 50**2) < 1.03


def test_lettering_becomes_few_rings() -> None:
    """Letters nearer to each other than the gap are one piece; two words far apart are two."""
    art = np.zeros((400, 2000), np.uint8)
    for start in (*range(100, 600, 60), *range(1300, 1900, 60)):
        art[100:300, start : start + 30] = 255
    rings = outline_of(art, 250.0, 50.0)
    assert len(rings) == 2
    assert sum(map(len, rings)) <= MOST_CORNERS


def test_full_and_empty_art_is_its_box() -> None:
    """A picture to its edges needs no outline, nor does nothing."""
    assert outline_of(np.ones((50, 80)), 80, 50) == ()
    assert outline_of(np.zeros((50, 80)), 80, 50) == ()
