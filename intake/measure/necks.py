"""The width of a sharp neck, which the pixels blur: where its straight sides meet, or what blurring added."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.chords import Floats, chords_at, on_grid

HALF_PX = 6.0  # the profile that is looked at, to either side
STEP_PX = 0.5
BLURRED_PX = 1.4  # nearer to the neck than this its sides are rounded by the pixels
STRAIGHT = 0.06  # the scatter about a straight side, as a share of its rise
BLURS = 0.4  # a point of two sides that rise by 1 px a px reads so many px wider
NEAR_PX = (-1.5, -0.75, 0.0, 0.75, 1.5)  # along the axis, where the least chord is looked for
LEAST_SHARE = 0.5  # of the chord: more is never taken for blur
TURNS = tuple(range(-18, 19, 6))  # degrees; askew, the kinks of both sides lie apart
MOST_ADDED = 0.2  # of the least chord can be blur where the sides are no straight lines
DEBLUR = 1.0 / 3.0  # of the second difference over one pixel: exact for straight sides that meet at a point


def sharpened(
    cover: Bytes, x: Floats, y: Floats, nx: Floats, ny: Floats, value: Floats, reach: int
) -> Floats:
    """Widths in px of necks at (x, y) whose shortest chord runs along (nx, ny) and reads `value`.

    `reach` is how far, in px, chords are followed to either side.
    """
    if not len(x):
        return value
    angles = np.radians(np.array(TURNS, np.float32))
    turned = [(nx * np.cos(a) - ny * np.sin(a), nx * np.sin(a) + ny * np.cos(a)) for a in angles]
    least = []
    for ax, ay in turned:
        px, py = (np.concatenate([v + on_grid(t * d) for t in NEAR_PX]) for v, d in ((x, -ay), (y, ax)))
        chord = chords_at(cover, px, py, np.tile(ax, len(NEAR_PX)), np.tile(ay, len(NEAR_PX)), reach)
        shut = np.where(chord.open | (chord.width < 0.15), np.inf, chord.width)
        least.append(shut.reshape(len(NEAR_PX), -1).min(axis=0))
    best = np.argmin(least, axis=0)
    n = np.arange(len(x))
    ax, ay = (np.stack(v)[best, n] for v in zip(*turned, strict=True))
    return np.asarray(np.maximum(_along(cover, x, y, ax, ay, value, reach), LEAST_SHARE * value), np.float32)


def _along(cover: Bytes, x: Floats, y: Floats, nx: Floats, ny: Floats, value: Floats, reach: int) -> Floats:
    """The width that the chords tell which run along (nx, ny)."""
    t = np.arange(-HALF_PX, HALF_PX + STEP_PX / 2, STEP_PX, dtype=np.float32)[:, None]
    px, py = x - on_grid(t * ny), y + on_grid(t * nx)
    shape = px.shape
    across_x, across_y = (np.broadcast_to(n, shape).reshape(-1) for n in (nx, ny))
    chord = chords_at(cover, px.reshape(-1), py.reshape(-1), across_x, across_y, reach)
    w = np.where(chord.open | (chord.width < 0.15), np.nan, chord.width).reshape(shape).astype(np.float32)
    with np.errstate(invalid="ignore"):
        middle = np.abs(t) <= 2.0
        least = np.where(middle & np.isfinite(w), w, np.inf).argmin(axis=0)
        right, is_right = _side(t, w, least, 1, value)
        left, is_left = _side(t, w, least, -1, value)
        slope = np.where(is_right & is_left, right[0] - left[0], 1.0)
        at = (left[1] - right[1]) / slope
        meet = right[1] + right[0] * at
        steep = 0.5 * slope
        low = w[least, np.arange(len(value))]
        # Straight sides that meet at a point read higher there by what a pixel blurs; a short bar does not.
        agrees = np.abs(low - meet - BLURS * steep) < 0.1 * steep + 0.06
        sharp = is_right & is_left & agrees & (np.abs(at) <= 2.5) & (meet > 0.3 * value)
        return np.where(sharp, meet, _deblurred(w, least, value)).astype(np.float32)


def _side(
    t: Floats, w: Floats, least: NDArray[np.int64], sign: int, value: Floats
) -> tuple[tuple[Floats, Floats], NDArray[np.bool_]]:
    """Slope and offset of the straight line through one side of each profile, and whether it is straight."""
    away = sign * (t - t[least, 0])
    use = np.isfinite(w) & (away >= BLURRED_PX) & (away <= BLURRED_PX + 3.0) & (w < 4.0 * value + 8.0)
    count = use.sum(axis=0)
    n = np.maximum(count, 1)
    y = np.where(use, w, 0.0)
    mean_t, mean_w = (use * t).sum(axis=0) / n, y.sum(axis=0) / n
    dt = np.where(use, t - mean_t, 0.0)
    slope = (dt * (y - mean_w)).sum(axis=0) / np.maximum((dt * dt).sum(axis=0), 1e-3)
    off = np.where(use, w - mean_w - slope * dt, 0.0)
    scatter = np.sqrt((off * off).sum(axis=0) / n)
    rise = sign * slope * 3.0
    return (slope, mean_w - slope * mean_t), (count >= 4) & (rise > 0.5) & (scatter < STRAIGHT * rise + 0.03)


def _deblurred(w: Floats, least: NDArray[np.int64], value: Floats) -> Floats:
    """The least width less what the blur of a pixel added to it."""
    column = np.arange(w.shape[1])
    one = round(1.0 / STEP_PX)
    low = w[least, column]
    beside = np.minimum(w[np.minimum(least + one, len(w) - 1), column], w[np.maximum(least - one, 0), column])
    added = np.clip(2.0 * (beside - low) * DEBLUR, 0.0, MOST_ADDED * low + 0.15)
    return np.where(np.isfinite(low - added), np.minimum(low - added, value), value)
