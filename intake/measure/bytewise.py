"""OpenCV's operations on arrays of bytes that the measuring uses, with plain names and types."""

from __future__ import annotations

from math import ceil, floor
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
_cv: Any = cv2  # its stubs know no scalar operands and give every answer the widest type


def block(size: int) -> Bytes:
    """A square structuring element."""
    return np.ones((size, size), np.uint8)


def disc(size: int) -> Bytes:
    """A round structuring element of an odd size."""
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), np.uint8)


def at_least(values: Bytes, level: float, into: Bytes | None = None) -> Bytes:
    """255 where the values reach the level, else 0; `into` may be an array of this shape to use for it."""
    _, answer = _cv.threshold(values, ceil(level) - 1, 255, cv2.THRESH_BINARY, into)
    result: Bytes = answer
    return result


def no_less(one: Bytes, other: Bytes) -> Bytes:
    """255 where the first is at least the second, else 0."""
    answer: Bytes = _cv.compare(one, other, cv2.CMP_GE)
    return answer


def at_most(values: Bytes, level: float) -> Bytes:
    """255 where the values are no higher than the level, else 0."""
    _, answer = _cv.threshold(values, floor(level), 255, cv2.THRESH_BINARY_INV)
    result: Bytes = answer
    return result


def above(one: Bytes, other: Bytes) -> Bytes:
    """255 where the first is higher, else 0."""
    answer: Bytes = _cv.compare(one, other, cv2.CMP_GT)
    return answer


def lower_of(one: Bytes, other: Bytes) -> Bytes:
    """The lower of both values."""
    answer: Bytes = _cv.min(one, other)
    return answer


def highest(values: Bytes, size: int = 3) -> Bytes:
    """The highest value in the square around each pixel."""
    answer: Bytes = _cv.dilate(values, block(size))
    return answer


def lowest(values: Bytes, size: int = 3) -> Bytes:
    """The lowest value in the square around each pixel."""
    answer: Bytes = _cv.erode(values, block(size))
    return answer


def grown(mask: Bytes, element: Bytes) -> Bytes:
    """The mask grown by a structuring element."""
    answer: Bytes = _cv.dilate(mask, element)
    return answer


def both(one: Bytes, other: Bytes, into: Bytes | None = None) -> Bytes:
    """Bitwise and; `into` may be an array of the same shape to use for it."""
    answer: Bytes = _cv.bitwise_and(one, other, into)
    return answer


def inverse(values: Bytes, into: Bytes | None = None) -> Bytes:
    """255 minus each value; `into` may be an array of the same shape to use for it."""
    answer: Bytes = _cv.bitwise_not(values, into)
    return answer


def scaled(values: Bytes, share: float) -> Bytes:
    """A share of each value."""
    answer: Bytes = _cv.convertScaleAbs(values, alpha=share)
    return answer


def not_below(values: Bytes, level: float) -> Bytes:
    """Each value, raised to the level where it is lower."""
    if values.size <= 4:  # OpenCV takes arrays of so few values for numbers
        return np.maximum(values, np.uint8(level))
    answer: Bytes = _cv.max(values, level)
    return answer


def between(values: Bytes, low: int, high: int) -> Bytes:
    """255 where low ≤ value ≤ high, else 0."""
    answer: Bytes = _cv.inRange(values, low, high)
    return answer


def shrunk(values: Bytes, width: int, height: int) -> Bytes:
    """Resized by averaging areas."""
    answer: Bytes = _cv.resize(values, (width, height), interpolation=cv2.INTER_AREA)
    return answer


def channel(rgba: Bytes, number: int) -> Bytes:
    """One channel of interleaved pixels."""
    answer: Bytes = _cv.extractChannel(rgba, number)
    return answer


def total(values: Bytes | NDArray[np.float32]) -> float:
    """The sum of a one-channel array."""
    return float(_cv.sumElems(values)[0])


def count(mask: Bytes) -> int:
    """How many values are not 0."""
    return int(_cv.countNonZero(mask))


def city_block_distance(mask: Bytes) -> Bytes:
    """Steps (4-connected) to the nearest 0, at most 255."""
    answer: Bytes = _cv.distanceTransform(mask, cv2.DIST_L1, 3, dstType=cv2.CV_8U)
    return answer


def distance(mask: Bytes, is_exact: bool = False) -> NDArray[np.float32]:
    """Euclidean distance in px to the nearest 0: a 5 × 5 chamfer (2 % off at most), or exact."""
    answer: NDArray[np.float32] = _cv.distanceTransform(
        mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE if is_exact else 5
    )
    return answer


def pulled_in(mask: Bytes, is_cross: bool) -> Bytes:
    """The mask less one pixel all round, by a cross (4 neighbours) or a square (8)."""
    shape = cv2.MORPH_CROSS if is_cross else cv2.MORPH_RECT
    answer: Bytes = _cv.erode(mask, cv2.getStructuringElement(shape, (3, 3)))
    return answer


def pushed_out(mask: Bytes, is_cross: bool) -> Bytes:
    """The mask and one pixel more all round, by a cross (4 neighbours) or a square (8)."""
    shape = cv2.MORPH_CROSS if is_cross else cv2.MORPH_RECT
    answer: Bytes = _cv.dilate(mask, cv2.getStructuringElement(shape, (3, 3)))
    return answer


def higher_of(one: Bytes, other: Bytes) -> Bytes:
    """The higher of both values."""
    answer: Bytes = _cv.max(one, other)
    return answer


def spread_between(one: Bytes, other: Bytes) -> Bytes:
    """The largest difference of the three colour channels."""
    apart: Bytes = _cv.absdiff(np.ascontiguousarray(one), np.ascontiguousarray(other))
    return higher_of(channel(apart, 0), higher_of(channel(apart, 1), channel(apart, 2)))


def lowest_of(values: Bytes) -> int:
    """The lowest value of all."""
    return int(_cv.minMaxLoc(values)[0])


def risen(values: Bytes, before: Bytes) -> Bytes:
    """How much higher each value is than before; 0 where it is not."""
    answer: Bytes = _cv.subtract(values, before)
    return answer


def unequal(one: Bytes, other: Bytes) -> Bytes:
    """255 where both differ, else 0."""
    answer: Bytes = _cv.compare(one, other, cv2.CMP_NE)
    return answer


def smoothed(values: Bytes) -> Bytes:
    """Each value mixed with its neighbours, 1 : 2 : 1 both ways."""
    answer: Bytes = _cv.GaussianBlur(values, (3, 3), 0.85)
    return answer


def only_where(mask: Bytes, pixels: Bytes, into: Bytes) -> Bytes:
    """Pixels of any number of channels where the mask is not 0, else 0; `into` is used for it."""
    into.fill(0)
    answer: Bytes = _cv.copyTo(pixels, mask, into)
    return answer


def taken_where(mask: Bytes, one: Bytes, other: Bytes) -> Bytes:
    """The first where the mask is not 0, else the second."""
    answer: Bytes = other.copy()
    _cv.copyTo(one, mask, answer)
    return answer
