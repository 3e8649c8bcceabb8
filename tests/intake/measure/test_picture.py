"""The small picture and the reading ahead."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray

from intake.facts import Ask
from intake.measure import measure_with_picture
from intake.measure.ahead import read_ahead
from tests.intake.measure.truth.scoring import ArrayPixels


@pytest.mark.parametrize(
    ("width", "height"), [(90, 50), (1000, 700), (2300, 1100), (311, 4001), (1, 1), (3, 2000)]
)
def test_the_picture_is_no_longer_than_asked_and_keeps_its_shape(width: int, height: int) -> None:
    """Never enlarged, at most a thousand pixels long, the same proportions."""
    rgba = np.full((height, width, 4), 200, np.uint8)
    _, picture = measure_with_picture(ArrayPixels(rgba), 0.1, Ask(), longest_px=1000)
    assert picture.dtype == np.uint8
    assert picture.shape[2] == 4
    assert max(picture.shape[:2]) == min(1000, max(width, height))
    assert picture.shape[0] == pytest.approx(height * max(picture.shape[:2]) / max(width, height), abs=1)
    assert np.abs(picture.astype(int) - 200).max() <= 1


def test_the_colour_under_clear_pixels_does_not_darken_rims() -> None:
    """Red art on black-but-clear stays red where it is averaged with clear pixels."""
    rgba = np.zeros((1600, 1600, 4), np.uint8)
    rgba[:, 401:] = (250, 10, 10, 255)
    _, picture = measure_with_picture(ArrayPixels(rgba), 0.1, Ask(), longest_px=200)
    visible = picture[picture[..., 3] > 0]
    assert visible[:, 0].min() >= 240
    assert visible[:, 1].max() <= 14


def test_reading_ahead_gives_all_bands_in_order() -> None:
    """Nothing lost, nothing swapped."""
    assert list(read_ahead(iter(range(50)))) == list(range(50))


def test_a_fault_while_reading_ahead_is_raised_where_it_is_used() -> None:
    """After the bands that were still good."""

    def bands() -> Iterator[int]:
        yield 1
        raise ValueError("the file is cut short")

    ahead = read_ahead(bands())
    assert next(ahead) == 1
    with pytest.raises(ValueError, match="cut short"):
        next(ahead)


def test_whoever_stops_early_stops_the_reading() -> None:
    """The source is not read to its end."""
    taken = []

    def bands() -> Iterator[int]:
        for k in range(10_000):
            taken.append(k)
            yield k

    ahead = read_ahead(bands())
    assert next(ahead) == 0
    ahead.close()
    assert len(taken) < 100


def test_a_resolution_that_is_no_length_is_refused() -> None:
    """Zero, negative and undefined."""
    pixels: NDArray[np.uint8] = np.zeros((4, 4, 4), np.uint8)
    for mm in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="positive"):
            measure_with_picture(ArrayPixels(pixels), mm, Ask())
