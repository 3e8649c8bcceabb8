"""The width of a neck, which the pixels blur: the one whose blurred sides look like those that were read."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.chords import Floats, chords_at, on_grid
from intake.measure.waists import has_sides, waist_of

HALF_PX = 8.0  # the profile that is looked at, to either side
STEP_PX = 0.5
NEAR_PX = (-1.5, -0.75, 0.0, 0.75, 1.5)  # along the axis, where the least chord is looked for
LEAKS = 0.45  # of the chord: less is read where the profile has left the neck
LEAST_SHARE = 0.5  # of the chord: more is never taken for blur
TURNS = tuple(range(-18, 19, 6))  # degrees; askew, the kinks of both sides lie apart
MOST_ADDED = 0.2  # of the least chord can be blur where the sides are no straight lines
DEBLUR = 0.29  # of the rise from the middle three chords to those 1 and 1.5 px off: exact for a parabola


def sharpened(
    cover: Bytes, x: Floats, y: Floats, nx: Floats, ny: Floats, value: Floats, reach: int
) -> Floats:
    """Widths in px of necks at (x, y) whose shortest chord runs along (nx, ny) and reads `value`.

    `reach` is how far, in px, chords are followed to either side.
    """
    if not len(x):
        return value
    angles = np.radians(np.array(TURNS, np.float32))[:, None]
    cosine, sine = np.cos(angles), np.sin(angles)
    turned_x, turned_y = nx * cosine - ny * sine, nx * sine + ny * cosine
    along = np.array(NEAR_PX, np.float32)[:, None, None]
    px, py = x - on_grid(along * turned_y), y + on_grid(along * turned_x)
    across_x, across_y = (np.broadcast_to(v, px.shape).reshape(-1) for v in (turned_x, turned_y))
    chord = chords_at(cover, px.reshape(-1), py.reshape(-1), across_x, across_y, reach)
    width = chord.width.reshape(px.shape)
    shut = np.where(chord.open.reshape(px.shape) | (width < LEAKS * value), np.inf, width)
    best = shut.min(axis=0).argmin(axis=0)
    n = np.arange(len(x))
    ax, ay = turned_x[best, n], turned_y[best, n]
    return np.asarray(np.maximum(_along(cover, x, y, ax, ay, value, reach), LEAST_SHARE * value), np.float32)


def _along(cover: Bytes, x: Floats, y: Floats, nx: Floats, ny: Floats, value: Floats, reach: int) -> Floats:
    """The width that the chords tell which run along (nx, ny)."""
    t = np.arange(-HALF_PX, HALF_PX + STEP_PX / 2, STEP_PX, dtype=np.float32)[:, None]
    px, py = x - on_grid(t * ny), y + on_grid(t * nx)
    shape = px.shape
    across_x, across_y = (np.broadcast_to(n, shape).reshape(-1) for n in (nx, ny))
    chord = chords_at(cover, px.reshape(-1), py.reshape(-1), across_x, across_y, reach)
    w = np.where(chord.open, np.nan, chord.width).reshape(shape).astype(np.float32)
    w[w < LEAKS * value] = np.nan
    with np.errstate(invalid="ignore"):
        middle = np.abs(t) <= 2.0
        least = np.where(middle & np.isfinite(w), w, np.inf).argmin(axis=0)
        fitted, is_fitted = waist_of(t[:, 0], w, least)
        unblurred = np.where(has_sides(t[:, 0], w, least), _deblurred(w, least, value), value)
        return np.where(is_fitted, fitted, unblurred).astype(np.float32)


def _deblurred(w: Floats, least: NDArray[np.int64], value: Floats) -> Floats:
    """The least width less what the blur of a pixel added to it, read off several chords."""
    column = np.arange(w.shape[1])

    def mean_of(rows: tuple[int, ...]) -> Floats:
        near = [w[np.clip(least + row, 0, len(w) - 1), column] for row in rows]
        return np.asarray(np.mean(near, axis=0), np.float32)

    low, beside = mean_of((-1, 0, 1)), np.minimum(mean_of((-3, -2)), mean_of((2, 3)))
    added = np.clip((beside - low) * DEBLUR, 0.0, MOST_ADDED * low + 0.15)
    return np.where(np.isfinite(low - added), np.minimum(low - added, value), value)
