"""Comparing bytes works whatever the shape: OpenCV mistakes arrays of a few values for numbers."""

from __future__ import annotations

import numpy as np
import pytest

from intake.measure.bytewise import at_least, at_most, not_below

SHAPES = [(1, 1), (1, 4), (4, 1), (2, 2), (1, 3), (3, 1), (1, 5), (5, 1), (2, 3)]


@pytest.mark.parametrize("shape", SHAPES)
def test_bytes_are_compared_whatever_their_shape(shape: tuple[int, int]) -> None:
    """Found by breaking small documents: the soft rim of a picture of 4 × 4 pixels."""
    values = np.arange(shape[0] * shape[1], dtype=np.uint8).reshape(shape)
    assert (at_least(values, 2) == np.where(values >= 2, 255, 0)).all()
    assert (at_most(values, 2) == np.where(values <= 2, 255, 0)).all()
    assert (not_below(values, 2) == np.maximum(values, 2)).all()
