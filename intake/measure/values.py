"""The width to report at a thin place: the mean of a flat line, the vertex of a waist."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.chords import Floats
from intake.measure.tracks import Tracks

NEAR_PX = 9.0  # half the length of profile that a waist is fitted to, at least
BENT_PX = 0.4  # a waist that rises by less over the fitted length is flat: its scatter is sampling noise
ALIKE_PX = 0.2
CUT_SHORT_PX = 0.5
DEEPER_PX = 0.05  # a waist is hardly thinner than its three thinnest chords


def values_at(tracks: Tracks, at: NDArray[np.int64], value: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Widths in px near rows `at`, `value` being a first guess; the row of a waist, or −1."""
    near = max(4, int(np.ceil(NEAR_PX / tracks.step_px)))
    rows = at + np.arange(-near, near + 1)[:, None]
    inside = (rows >= 0) & (rows < tracks.width.shape[0])
    column = np.arange(tracks.width.shape[1])
    w = np.where(inside, tracks.width[np.clip(rows, 0, tracks.width.shape[0] - 1), column], np.nan)
    t = np.arange(-near, near + 1, dtype=np.float32)[:, None] * np.float32(tracks.step_px)
    with np.errstate(invalid="ignore"):
        low = w <= 1.15 * value + 0.6
        joined = _joined_to_middle(low & np.isfinite(w))
        level = _usual(w, value)
        flat = _mean(w, joined & (w <= level + ALIKE_PX) & (w >= level - ALIKE_PX), value)
        width, vertex = _vertex(t, w, joined, flat, value)
    row = at + np.rint(np.nan_to_num(vertex) / tracks.step_px).astype(np.int64)
    return width, np.where(np.isnan(vertex), -1, row)


def _usual(w: Floats, value: Floats) -> Floats:
    """The middle one of the three chords at each place, where it is a little wider: one may be cut short."""
    middle = w.shape[0] // 2
    usual = np.sort(w[middle - 1 : middle + 2], axis=0)[1]  # what there is none of, or no end of, comes last
    return np.where((usual > value) & (usual <= value + CUT_SHORT_PX), usual, value)


def _joined_to_middle(ok: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Of each column the run of True rows around the middle one."""
    middle = ok.shape[0] // 2
    out = ok.copy()
    out[middle] = True
    out[middle + 1 :] = np.logical_and.accumulate(ok[middle + 1 :], axis=0)
    out[:middle] = np.logical_and.accumulate(ok[:middle][::-1], axis=0)[::-1]
    return out


def _mean(w: Floats, use: NDArray[np.bool_], value: Floats) -> Floats:
    count = use.sum(axis=0)
    total = np.where(use, w, 0).sum(axis=0)
    return np.where(count > 0, total / np.maximum(count, 1), value).astype(np.float32)


def _vertex(
    t: Floats, w: Floats, use: NDArray[np.bool_], flat: Floats, value: Floats
) -> tuple[Floats, Floats]:
    """The least value of a parabola through the used rows, and where; the flat mean and NaN without."""
    weight = use.astype(np.float64)
    y = np.where(use, w - flat, 0.0)
    s = [(weight * t**k).sum(axis=0) for k in range(5)]
    m = [(weight * y * t**k).sum(axis=0) for k in range(3)]
    enough = use.sum(axis=0) >= 5
    normal = np.array([[s[0], s[1], s[2]], [s[1], s[2], s[3]], [s[2], s[3], s[4]]]).transpose(2, 0, 1)
    normal = np.where(enough[:, None, None], normal, np.eye(3))
    a, b, c = np.linalg.solve(normal + 1e-6 * np.eye(3), np.stack(m, axis=1)[..., None])[..., 0].T
    reach = np.where(use, np.abs(t), 0).max(axis=0)
    vertex = -b / np.where(np.abs(c) > 1e-6, 2 * c, 1e-6)
    bent = enough & (c * reach**2 > BENT_PX) & (np.abs(vertex) < reach)
    least = flat + a - b * b / np.where(bent, 4 * c, 1)
    width = np.where(bent, np.clip(least, value - DEEPER_PX, flat), flat)
    return width.astype(np.float32), np.where(bent, vertex, np.nan).astype(np.float32)
