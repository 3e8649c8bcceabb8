"""Widths to a fraction of a pixel: how much coverage lies on a line laid across the ink."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes, risen

Floats = NDArray[np.float32]
FULL = np.float32(255.0)
NOTHING = 5  # coverage up to here is clear
GRID = np.float32(32)
RISE = 5  # a rise by no more is noise
CHUNK = 4096  # chords at a time: what they sample stays in the cache
DIRECTIONS = 8
HALFWAY = 1.2  # of the shortest way, a chord can be half of a quarter turn off it


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


def on_grid(lengths: Floats) -> Floats:
    """Lengths rounded to 1/32 px, as finely as OpenCV samples.

    All places lie on this grid and the steps between them are rounded, not the sums: so that what is
    measured does not depend on where in the array it lies.
    """
    answer = np.array(lengths, np.float32)
    _to_grid(answer)
    return answer


def _to_grid(lengths: Floats) -> None:
    lengths *= GRID
    np.rint(lengths, out=lengths)
    lengths *= np.float32(1.0 / GRID)


def sample(cover: Bytes, x: Floats, y: Floats) -> Bytes:
    """Coverage at points given as arrays of shape (n, m), bilinear, clear outside; m is less than 32,767."""
    remap: Any = cv2.remap
    return np.asarray(remap(cover, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT), np.uint8)


def chords_at(cover: Bytes, x: Floats, y: Floats, nx: Floats, ny: Floats, reach: int) -> Chords:
    """Chords through the points (x, y) along the unit vectors (nx, ny), at most `reach` px to either side."""
    count = len(x)
    left, right, is_open = np.empty(count, np.float32), np.empty(count, np.float32), np.empty(count, bool)
    offset = np.arange(reach + 1, dtype=np.float32)[:, None]
    for start in range(0, count, CHUNK):
        part = slice(start, start + CHUNK)
        px, py, dx, dy = (v[part] for v in (x, y, nx, ny))
        half = len(px)
        xs, ys = np.empty((reach + 1, 2 * half), np.float32), np.empty((reach + 1, 2 * half), np.float32)
        for whole, at, step in ((xs, px, dx), (ys, py, dy)):
            np.multiply(offset, step, out=whole[:, half:])
            _to_grid(whole[:, half:])
            np.subtract(at, whole[:, half:], out=whole[:, :half])
            whole[:, half:] += at
        values = sample(cover, xs, ys)
        length, out_of_reach = _walk_out(values)
        plateau = _plateau(values[:3, :half], values[:3, half:])
        left[part], right[part] = length[:half] / plateau, length[half:] / plateau
        is_open[part] = out_of_reach[:half] | out_of_reach[half:]
    return Chords(left, right, is_open)


def _plateau(one: Bytes, other: Bytes) -> Floats:
    """What counts as full: 255, or the level of an evenly semi-transparent middle of at least five pixels."""
    high = np.maximum(one.max(axis=0), other.max(axis=0))
    level = high < 242
    if not level.any():
        return np.broadcast_to(FULL, high.shape)
    low = np.minimum(one.min(axis=0), other.min(axis=0))
    level &= low > 0.9 * high
    return np.where(level, np.maximum(high, 1), FULL).astype(np.float32)


def _walk_out(values: Bytes) -> tuple[Floats, NDArray[np.bool_]]:
    """Coverage from the first row outwards until the ink ends or, past a valley, other ink begins.

    The two halves of the columns are the two sides of the same chords.
    """
    inner, outer = values[:-1], values[1:]
    top = values[:3].max(axis=0)
    half = len(top) // 2
    level = np.tile(np.maximum(top[:half], top[half:]) >> 1, 2)
    rising = risen(outer, inner) > RISE
    rising &= inner < level
    within = outer > NOTHING
    within &= ~rising
    for before, row in pairwise(within):  # NumPy's accumulate is thirty times slower along the columns
        np.logical_and(before, row, out=row)
    inside = within.view(np.uint8)
    total = 0.5 * values[0] + np.add.reduce(outer * inside, axis=0, dtype=np.uint16)
    at = np.add.reduce(inside, axis=0, dtype=np.uint16)
    is_open = at == len(outer)
    stopped = np.flatnonzero(np.logical_or.reduce(rising, axis=0) & ~is_open)
    valley = stopped[rising[at[stopped], stopped]]
    if len(valley):
        # The chord ends where the valley is lowest: a parabola tells how far into, or beyond, the last pixel.
        here = at[valley].astype(np.int64)
        before, last, after = (values[np.maximum(here + k, 0), valley].astype(np.float32) for k in (-1, 0, 1))
        bend = np.maximum(before - 2 * last + after, np.float32(1.0))
        beyond = np.clip(0.5 * (before - after) / bend, -0.5, 0.5)
        total[valley] -= (np.float32(0.5) - beyond) * last
    return np.maximum(total, 0).astype(np.float32), is_open


def across(
    cover: Bytes, x: Floats, y: Floats, reach: int, is_neck: NDArray[np.bool_], widest: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """The shortest way across the ink at each point: width (px), its unit vector, how far off centre it is.

    Eight directions; between them 1 / chord is a cosine of the angle, which three neighbours determine. What
    is clearly wider than `widest` (px) in every other direction, and no neck, is not looked at in the rest:
    it is told as 1000 px wide.
    """
    widths = np.full((DIRECTIONS, len(x)), np.float32(1e3))
    widths[::2] = _chords_in(cover, x, y, range(0, DIRECTIONS, 2), reach)
    thin = np.flatnonzero(is_neck | (widths[::2].min(axis=0) <= HALFWAY * widest + 1.0))
    whole = np.zeros((4, len(x)), np.float32)
    whole[0] = 1e3
    if len(thin):
        widths = widths[:, thin]
        widths[1::2] = _chords_in(cover, x[thin], y[thin], range(1, DIRECTIONS, 2), reach)
        whole[:, thin] = _shortest(cover, x[thin], y[thin], widths, reach)
    return whole[0], whole[1], whole[2], whole[3]


def _shortest(cover: Bytes, x: Floats, y: Floats, widths: Floats, reach: int) -> Floats:
    """From the chords in all directions the shortest way, in rows as `across` tells it."""
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
    return np.stack([width, nx, ny, 0.5 * (chord.right - chord.left)])


def _chords_in(cover: Bytes, x: Floats, y: Floats, numbers: range, reach: int) -> Floats:
    """Chords through the points in some of the directions, one a row; far longer than any where open."""
    angles = np.array(numbers) * np.pi / DIRECTIONS
    nx, ny = (np.repeat(v.astype(np.float32), len(x)) for v in (np.cos(angles), np.sin(angles)))
    chord = chords_at(cover, np.tile(x, len(numbers)), np.tile(y, len(numbers)), nx, ny, reach)
    widths = np.maximum(chord.width, 0.05) + np.float32(1e3) * chord.open
    return widths.reshape(len(numbers), len(x)).astype(np.float32)


def _cosine(
    at: NDArray[np.floating], inverse: NDArray[np.floating]
) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
    """Least squares of inverse = a·cos + b·sin over the first axis."""
    c, s = np.cos(at), np.sin(at)
    cc, ss, cs = (c * c).sum(0), (s * s).sum(0), (c * s).sum(0)
    ic, is_ = (inverse * c).sum(0), (inverse * s).sum(0)
    det = cc * ss - cs * cs
    return (ic * ss - is_ * cs) / det, (is_ * cc - ic * cs) / det
