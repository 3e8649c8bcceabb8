"""Widths to a fraction of a pixel: how much coverage lies on a line laid across the ink."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes

Floats = NDArray[np.float32]
FULL = 255.0
NOTHING = 5.0  # coverage below this is clear
RISE = 5.0  # a rise by less is noise
MAP_ROWS = 512  # OpenCV's remap takes no more than 32,767 columns or rows
DIRECTIONS = 8


@dataclass(frozen=True, slots=True)
class Chords:
    """Lengths in px to the left and right of each point; open: the chord ran out of reach inside the ink."""

    left: Floats
    right: Floats
    open: NDArray[np.bool_]

    @property
    def width(self) -> Floats:
        """The whole chord in px."""
        return self.left + self.right


def sample(cover: Bytes, x: Floats, y: Floats) -> Floats:
    """Coverage at any points, bilinear, clear outside the array; the shape of the answer is that of `x`."""
    shape, count = x.shape, x.size
    across = -(-count // MAP_ROWS) if count > MAP_ROWS else count
    across = min(max(across, 1), 16_000)
    down = -(-count // across)
    out = np.empty(down * across, np.uint8)
    fx, fy = np.full(down * across, -9, np.float32), np.full(down * across, -9, np.float32)
    fx[:count], fy[:count] = x.reshape(-1), y.reshape(-1)
    for start in range(0, down, 16_000):
        stop = min(down, start + 16_000)
        part = slice(start * across, stop * across)
        out[part] = cv2.remap(
            cover,
            fx[part].reshape(-1, across),
            fy[part].reshape(-1, across),
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=0,
        ).reshape(-1)
    return out[:count].reshape(shape).astype(np.float32)


def chords_at(cover: Bytes, x: Floats, y: Floats, nx: Floats, ny: Floats, reach: int) -> Chords:
    """Chords through the points (x, y) along the unit vectors (nx, ny), at most `reach` px to either side."""
    offset = np.arange(-reach, reach + 1, dtype=np.float32)[:, None]
    values = sample(cover, x + offset * nx, y + offset * ny)
    plateau = _plateau(values, reach)
    left, left_open = _walk_out(values[reach::-1])
    right, right_open = _walk_out(values[reach:])
    return Chords(left / plateau, right / plateau, left_open | right_open)


def _plateau(values: Floats, reach: int) -> Floats:
    """What counts as full: 255, or the level of an evenly semi-transparent middle of at least five pixels."""
    middle = values[reach - 2 : reach + 3]
    low, high = middle.min(axis=0), middle.max(axis=0)
    level = (high < 242) & (low > 0.9 * high)
    return np.where(level, np.maximum(high, 1.0), FULL).astype(np.float32)


def _walk_out(values: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Coverage from the first row outwards until the ink ends or, past a valley, other ink begins."""
    before = last = top = values[0]
    total = 0.5 * last
    alive = np.ones(last.shape, bool)
    for value in values[1:]:
        valley = alive & (value > last + RISE) & (last < 0.5 * top)
        if valley.any():
            # The lowest pixel lies between two shapes: one alone is shared, of two alike each has its own.
            alike = before < 1.18 * last + 4.0
            total -= np.where(valley, np.where(alike, last, 0.5 * last), 0.0).astype(np.float32)
            alive &= ~valley
        alive &= value > NOTHING
        total += np.where(alive, value, 0.0).astype(np.float32)
        top = np.maximum(top, np.where(alive, value, 0.0))
        before, last = last, value
    return total, alive


def across(cover: Bytes, x: Floats, y: Floats, reach: int) -> tuple[Floats, Floats, Floats, Floats]:
    """The shortest way across the ink at each point: width (px), its unit vector, how far off centre it is.

    Eight directions; between them 1 / chord is a cosine of the angle, which three neighbours determine.
    """
    angles = np.arange(DIRECTIONS) * np.pi / DIRECTIONS
    widths = np.empty((DIRECTIONS, len(x)), np.float32)
    for k, angle in enumerate(angles):
        nx = np.full(len(x), np.cos(angle), np.float32)
        ny = np.full(len(x), np.sin(angle), np.float32)
        chord = chords_at(cover, x, y, nx, ny, reach)
        widths[k] = np.maximum(chord.width, 0.05) + 1e3 * chord.open
    best = widths.argmin(axis=0)
    near = np.stack([best - 1, best, best + 1])
    at = near * np.pi / DIRECTIONS
    inverse = 1.0 / np.take_along_axis(widths, near % DIRECTIONS, axis=0)
    a, b = _cosine(at, inverse)
    angle = np.arctan2(b, a)
    off = np.abs((angle - best * np.pi / DIRECTIONS + np.pi / 2) % np.pi - np.pi / 2)
    angle = np.where(off <= np.pi / DIRECTIONS, angle, best * np.pi / DIRECTIONS)
    nx, ny = np.cos(angle).astype(np.float32), np.sin(angle).astype(np.float32)
    chord = chords_at(cover, x, y, nx, ny, reach)
    width = np.where(chord.open, np.float32(1e3), chord.width)
    return width, nx, ny, 0.5 * (chord.right - chord.left)


def _cosine(
    at: NDArray[np.floating], inverse: NDArray[np.floating]
) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
    """Least squares of inverse = a·cos + b·sin over the first axis."""
    c, s = np.cos(at), np.sin(at)
    cc, ss, cs = (c * c).sum(0), (s * s).sum(0), (c * s).sum(0)
    ic, is_ = (inverse * c).sum(0), (inverse * s).sum(0)
    det = cc * ss - cs * cs
    return (ic * ss - is_ * cs) / det, (is_ * cc - ic * cs) / det
