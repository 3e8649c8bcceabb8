"""Which thin places are strokes, which are necks, and which are only tips: read off the width profiles."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import ceil

import numpy as np
from numpy.typing import NDArray

from intake.measure.chords import Floats
from intake.measure.scale import FLAT_PX, FLAT_SHARE, LINE_ASPECT, NECK_RATIO, Side
from intake.measure.tracks import Tracks

STROKE, NECK, TAPER = 1, 2, 3


@dataclass(frozen=True, slots=True)
class Found:
    """Thin places, one a row, in the window's padded pixels: value and length in px, box of the flat run."""

    x: Floats  # of the seed: seeds lie one a cell along everything thin
    y: Floats
    value: Floats
    length: Floats
    kind: NDArray[np.int8]
    left: Floats
    top: Floats
    right: Floats
    bottom: Floats

    def __len__(self) -> int:
        return len(self.x)

    def where(self, keep: NDArray[np.bool_]) -> Found:
        """The rows to keep."""
        return Found(*(getattr(self, f.name)[keep] for f in fields(self)))


@dataclass(slots=True)
class _Way:
    """What one direction along the middle holds, seen from the thin place."""

    run: NDArray[np.int32]  # steps that the flat run goes on
    leaves: NDArray[np.bool_]  # it opens into a wider part
    ends: NDArray[np.bool_]  # the ink ends there
    lower: NDArray[np.bool_]  # it gets thinner first
    total: Floats  # widths near the place that are alike, to be averaged
    count: NDArray[np.int32]


def classify(tracks: Tracks, side: Side, cell_px: int) -> Found:
    """Strokes, necks and tapers among the tracks, each with its width averaged along the flat part."""
    smooth = _smoothed(tracks.width)
    middle = tracks.steps
    around = ceil(cell_px / tracks.step_px) + 1
    near = smooth[middle - around : middle + around + 1]
    thinnest = np.where(np.isfinite(near), near, np.inf).argmin(axis=0) + middle - around
    found = [
        _judge(tracks, smooth, np.full(smooth.shape[1], middle), side),
        _judge(tracks, smooth, thinnest, side),
    ]
    return _better(*found)


def _smoothed(width: Floats) -> Floats:
    """The mean of three along each profile, of those that are alike."""
    out, count = width.copy(), np.ones_like(width)
    for rows, others in ((slice(1, None), slice(None, -1)), (slice(None, -1), slice(1, None))):
        with np.errstate(invalid="ignore"):
            alike = np.abs(width[others] - width[rows]) <= 0.1 * width[rows] + 0.5
        out[rows] += np.where(alike, width[others], 0)
        count[rows] += alike
    return out / count


def _judge(tracks: Tracks, smooth: Floats, at: NDArray[np.int64], side: Side) -> Found:
    """What each track is at the row `at`."""
    n = np.arange(smooth.shape[1])
    value = smooth[at, n]
    ahead, behind = (_look(tracks.width, at, value, sign, tracks.step_px) for sign in (1, -1))
    length = (ahead.run + behind.run + 0.5 * ahead.ends + 0.5 * behind.ends) * np.float32(tracks.step_px)
    count = np.maximum(1 + ahead.count + behind.count, 1)
    mean = (tracks.width[at, n] + ahead.total + behind.total) / count
    stroke = (length >= np.maximum(side.run_px - 0.5, LINE_ASPECT * value)) & ~_at_end(
        ahead, behind, value, tracks
    )
    neck = ahead.leaves & behind.leaves & ~ahead.lower & ~behind.lower
    kind = np.where(stroke, STROKE, np.where(neck, NECK, 0)).astype(np.int8)
    kind[~np.isfinite(value) | (mean > side.search_px)] = 0
    rows = np.arange(smooth.shape[0])[:, None]
    run = (rows >= at - behind.run) & (rows <= at + ahead.run)
    box = _boxes(tracks, run, mean)
    seed_x, seed_y = tracks.x[tracks.steps], tracks.y[tracks.steps]
    return Found(seed_x, seed_y, mean.astype(np.float32), length.astype(np.float32), kind, *box)


def _at_end(ahead: _Way, behind: _Way, value: Floats, tracks: Tracks) -> NDArray[np.bool_]:
    """Whether a place is so near a blunt end that its chord may run across the corner."""
    zone = (0.5 * value + 1.0) / tracks.step_px
    return (ahead.ends & (ahead.run < zone)) | (behind.ends & (behind.run < zone))


def _boxes(tracks: Tracks, run: NDArray[np.bool_], width: Floats) -> list[Floats]:
    """Left, top, right and bottom of the ink along each run."""
    half = 0.5 * width
    low = [np.where(run & np.isfinite(v), v, np.inf).min(axis=0) - half for v in (tracks.x, tracks.y)]
    high = [np.where(run & np.isfinite(v), v, -np.inf).max(axis=0) + half for v in (tracks.x, tracks.y)]
    return [v.astype(np.float32) for v in (*low, *high)]


def _look(width: Floats, at: NDArray[np.int64], value: Floats, sign: int, step: float) -> _Way:
    """Go along every profile from row `at` and see how long it stays flat, and what it opens into."""
    rows, n = width.shape
    high, low = value * (1 + FLAT_SHARE) + FLAT_PX, value * (1 - 0.5 * FLAT_SHARE) - 0.2
    wide = NECK_RATIO * value + 0.3
    bridge = np.ceil((1.5 * value + 2.0) / step)
    needed = np.ceil(NECK_RATIO * value / step)
    flat = np.full(n, True)
    on = np.full(n, True)
    out = _Way(np.zeros(n, np.int32), ~on, ~on, ~on, np.zeros(n, np.float32), np.zeros(n, np.int32))
    over, bump = np.zeros(n, np.int32), np.zeros(n, np.int32)
    column = np.arange(n)
    with np.errstate(invalid="ignore"):
        for j in range(1, rows):
            index = at + sign * j
            inside = (index >= 0) & (index < rows)
            w = width[np.clip(index, 0, rows - 1), column]
            ended = on & inside & np.isnan(w)
            out.ends |= ended & flat & (bump == 0)
            out.leaves |= on & ~inside & (over > 0)
            on &= inside & ~ended
            if not on.any():
                break
            ok = on & flat & (w <= high) & (w >= low)
            out.run[ok] = j
            bump = np.where(ok, 0, bump + (w > high))
            flat &= (w >= low) & (bump <= bridge)
            alike = ok & (bump == 0) & (w <= value + 0.2) & (j * step <= np.maximum(5.0, value))
            out.total += np.where(alike, w, 0)
            out.count += alike
            over = np.where(on & (w >= wide), over + 1, 0)
            out.leaves |= over >= needed
            out.lower |= on & ~out.leaves & (w < low)
    return out


def _better(first: Found, second: Found) -> Found:
    """Of two readings of each track the thinner that counts."""
    take = (second.kind > 0) & ((first.kind == 0) | (second.value < first.value))
    both = Found(*(np.where(take, getattr(second, f.name), getattr(first, f.name)) for f in fields(Found)))
    return both.where(both.kind > 0)
