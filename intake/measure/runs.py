"""Which thin places are strokes, which are necks, and which are only tips: read off the width profiles."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import ceil
from typing import Any

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.chords import CHUNK, Floats, sample
from intake.measure.necks import sharpened
from intake.measure.scale import CRISP_RUNS, FLAT_PX, FLAT_SHARE, LINE_ASPECT, NECK_RATIO, Side
from intake.measure.tracks import Tracks
from intake.measure.values import values_at

SHORTEST_PX = 3.5  # of a run: what is shorter is no more than a pixel's whim
FAINT_PX, SHORTEST_FAINT_PX = (
    1.5,
    5.0,
)  # what is thinner wavers along its length: the tip of a star may look flat
AROUND_PX = 8.0  # so far from a lead its track's thinnest place is looked for
Far = NDArray[np.float64]  # whole-picture places keep their exactness
FAR = 1 << 20
TIP_RUNS, TIP_ASPECT = 1.7, 4.0  # what thins to one side and widens to the other must be so much longer
THIN_SHARE = 0.45  # of a run must be thin: more of it are lines that cross
BUMP_RATIO = 1.5  # a crossing line is at least so much wider
SLOW_RATIO = 1.5  # wider than this within two steps is sudden
LEAST_PX, LEAST_NECK_PX = 0.5, 0.62  # thinner is a leak of coverage between two pixels
LEAK = 140  # coverage in the middle of a neck of two thirds of a pixel
LEAK_A_PX, LEAK_MOST = 140, 216  # and of wider ones, for each pixel of their width, and at most
PLACE_SHARE = 0.06  # the place told is where the width stays within this share of the thinnest
MOST_SHARPENED = 300  # necks of a window, the thinnest: of a screen's thousands no more are told anyway
STROKE, NECK, TAPER = 1, 2, 3


@dataclass(frozen=True, slots=True)
class Found:
    """Thin places, one a row, in the window's padded pixels: value and length in px, box of the flat run."""

    x: Floats  # of the seed: seeds lie one a cell along everything thin
    y: Floats
    value: Floats
    length: Floats
    kind: NDArray[np.int8]
    left: Far
    top: Far
    right: Far
    bottom: Far
    nx: Floats  # the unit vector across
    ny: Floats

    def __len__(self) -> int:
        return len(self.x)

    def where(self, keep: NDArray[Any]) -> Found:
        """The rows to keep."""
        return Found(*(getattr(self, f.name)[keep] for f in fields(self)))

    @staticmethod
    def joined(parts: list[Found]) -> Found:
        """All rows of several."""
        if not parts:
            none = np.empty(0, np.float32)
            far = none.astype(np.float64)
            return Found(none, none, none, none, none.astype(np.int8), far, far, far, far, none, none)
        return Found(*(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Found)))


@dataclass(slots=True)
class _Way:
    """What one direction along the middle holds, seen from the thin place."""

    run: NDArray[np.int32]  # steps that the flat run goes on
    thin: NDArray[np.int32]  # steps of them that are thin: the others are bumps
    ends: NDArray[np.bool_]  # the ink ends there, at the end of the flat run
    end: NDArray[np.int32]  # after so many steps the ink ends; very many: it does not
    leaves: NDArray[np.bool_]  # it opens into a wider part
    lower: NDArray[np.bool_]  # it gets thinner first
    thins: NDArray[np.bool_]  # the run ends because it slowly thins out
    widens: NDArray[np.bool_]  # the run ends because it slowly widens

    def where(self, keep: slice) -> _Way:
        """A part of the tracks."""
        return _Way(*(getattr(self, f.name)[keep] for f in fields(self)))


def classify(cover: Bytes, tracks: Tracks, side: Side) -> Found:
    """Strokes and necks, each with its width averaged along the flat part."""
    smooth = _smoothed(tracks.width)
    middle = tracks.steps
    around = min(ceil(AROUND_PX / tracks.step_px) + 1, middle)
    near = smooth[middle - around : middle + around + 1]
    # Rows that the walk never came to hold the usual width, but no place.
    walked = np.isfinite(tracks.x[middle - around : middle + around + 1]) & np.isfinite(near)
    thinnest = np.where(walked, near, np.inf).argmin(axis=0) + middle - around
    judged = _judge(tracks, smooth, np.full(smooth.shape[1], middle), side)
    lower = np.flatnonzero(smooth[thinnest, np.arange(len(thinnest))] < 0.97 * smooth[middle] - 0.1)
    judged = judged.bettered(lower, _judge(tracks.where(lower), smooth[:, lower], thinnest[lower], side))
    which = np.flatnonzero(judged.kind > 0)
    judged, tracks = judged.where(which), tracks.where(which)
    value, waist = values_at(tracks, judged.at, judged.value)
    known = np.isfinite(tracks.x[np.clip(waist, 0, len(tracks.x) - 1), np.arange(len(waist))])
    waist = np.where((waist >= 0) & ~known, judged.at, waist)
    neck, at = np.flatnonzero(judged.kind == NECK), judged.at
    neck = neck[np.argsort(value[neck], kind="stable")[:MOST_SHARPENED]]
    x, y = tracks.x[at[neck], neck], tracks.y[at[neck], neck]
    value[neck] = sharpened(cover, x, y, tracks.nx[neck], tracks.ny[neck], value[neck], side.reach_px + 8)
    with np.errstate(invalid="ignore"):
        thin = tracks.width <= value * (1 + PLACE_SHARE) + FLAT_PX
    rows = np.arange(tracks.width.shape[0])[:, None]
    first, last = at - judged.behind, at + judged.ahead
    half = np.maximum(np.minimum(waist - first, last - waist), 0)
    first, last = (np.where(waist < 0, v, waist + s * half) for v, s in ((first, -1), (last, 1)))
    run = (rows >= first) & (rows <= last) & (thin | (rows == np.where(waist < 0, at, waist)))
    seed_x, seed_y = tracks.x[tracks.steps], tracks.y[tracks.steps]
    box = _boxes(tracks, run, value)
    found = Found(seed_x, seed_y, value, judged.length, judged.kind, *box, tracks.nx, tracks.ny)
    return found.where((value <= side.search_px) & ~_is_leak(cover, tracks, judged, value, side))


def _is_leak(cover: Bytes, tracks: Tracks, judged: _Judged, value: Floats, side: Side) -> NDArray[np.bool_]:
    """Whether a neck is only coverage that leaks through a hairline between two wide parts."""
    neck = np.flatnonzero(judged.kind == NECK)
    leak = np.zeros(len(judged.kind), bool)
    for start in range(0, len(neck), CHUNK):
        part = neck[start : start + CHUNK]
        x, y = (v[judged.at[part], part][None] for v in (tracks.x, tracks.y))
        # Grids of inked hairlines are common, and the clear leaks widely where they cross.
        least = LEAK if side.is_ink else np.clip(LEAK_A_PX * value[part], LEAK, LEAK_MOST)
        leak[part] = sample(cover, x, y)[0] < least
    return leak


def _smoothed(width: Floats) -> Floats:
    """The mean of three along each profile, of those that are alike."""
    out, count = width.copy(), np.ones_like(width)
    for rows, others in ((slice(1, None), slice(None, -1)), (slice(None, -1), slice(1, None))):
        with np.errstate(invalid="ignore"):
            alike = np.abs(width[others] - width[rows]) <= 0.1 * width[rows] + 0.5
        out[rows] += np.where(alike, width[others], 0)
        count[rows] += alike
    return out / count


@dataclass(frozen=True, slots=True)
class _Judged:
    """What each track is at a row of its profile: steps of flat run both ways; first guess, length in px."""

    at: NDArray[np.int64]
    value: Floats
    length: Floats
    kind: NDArray[np.int8]
    ahead: NDArray[np.int32]
    behind: NDArray[np.int32]

    def where(self, keep: NDArray[Any]) -> _Judged:
        """The tracks to keep."""
        return _Judged(*(getattr(self, f.name)[keep] for f in fields(self)))

    def bettered(self, which: NDArray[np.int64], other: _Judged) -> _Judged:
        """With another reading of some tracks, where that is thinner and counts."""
        take = (other.kind > 0) & ((self.kind[which] == 0) | (other.value < self.value[which]))
        values = {f.name: getattr(self, f.name).copy() for f in fields(self)}
        for name, value in values.items():
            value[which[take]] = getattr(other, name)[take]
        return _Judged(**values)


def _judge(tracks: Tracks, smooth: Floats, at: NDArray[np.int64], side: Side) -> _Judged:
    """What each track is at the row `at`."""
    value = smooth[at, np.arange(smooth.shape[1])]
    ahead, behind = _look_both_ways(tracks, at, value)
    length = (ahead.run + behind.run + 0.5 * ahead.ends + 0.5 * behind.ends) * np.float32(tracks.step_px)
    tip = ahead.thins | behind.thins | (ahead.ends & behind.widens) | (behind.ends & ahead.widens)
    needed = np.where(value < FAINT_PX, SHORTEST_FAINT_PX, SHORTEST_PX)
    needed = np.maximum(np.maximum(side.run_px - 0.5, needed), LINE_ASPECT * value)
    needed = np.where(tip, np.maximum(TIP_RUNS * side.run_px, TIP_ASPECT * value), needed)
    needed = np.where(tracks.is_crisp, np.maximum(needed, CRISP_RUNS * side.run_px), needed)
    stroke = (length >= needed) & ~_at_end(ahead, behind, value, tracks)
    # Where coverage leaks through hairlines, short necks follow one another: no line, however many there are.
    stroke &= 1 + ahead.thin + behind.thin >= THIN_SHARE * (1 + ahead.run + behind.run)
    neck = ahead.leaves & behind.leaves & ~ahead.lower & ~behind.lower
    kind = np.where(stroke, STROKE, np.where(neck, NECK, 0)).astype(np.int8)
    kind[~np.isfinite(value) | (value < np.where(kind == NECK, LEAST_NECK_PX, LEAST_PX))] = 0
    kind[(kind == STROKE) & ~(value <= side.search_px + 0.3)] = 0
    return _Judged(at, value, length, kind, ahead.run, behind.run)


def _at_end(ahead: _Way, behind: _Way, value: Floats, tracks: Tracks) -> NDArray[np.bool_]:
    """Whether a place is so near a blunt end that its chord may run across the corner."""
    zone = (0.6 * value + 1.5) / tracks.step_px
    return np.asarray(np.minimum(ahead.end, behind.end) <= zone, np.bool_)


def _boxes(tracks: Tracks, run: NDArray[np.bool_], width: Floats) -> tuple[Far, Far, Far, Far]:
    """Left, top, right and bottom of the ink along each run."""
    half = 0.5 * width.astype(np.float64)
    low = [np.where(run & np.isfinite(v), v, np.inf).min(axis=0) - half for v in (tracks.x, tracks.y)]
    high = [np.where(run & np.isfinite(v), v, -np.inf).max(axis=0) + half for v in (tracks.x, tracks.y)]
    return low[0], low[1], high[0], high[1]


@dataclass(slots=True)
class _Gaze:
    """The state of looking along the profiles: which go on, which are still flat, how long they were not."""

    slack: Floats
    on: NDArray[np.bool_]
    flat: NDArray[np.bool_]
    bump: NDArray[np.int32]  # rows since the run was last flat, being wider
    peak: Floats  # the widest of them
    thin: NDArray[np.int32]  # rows since the run ended by thinning out
    over: NDArray[np.int32]  # rows in a part wide enough for a neck


def _look_both_ways(tracks: Tracks, at: NDArray[np.int64], value: Floats) -> tuple[_Way, _Way]:
    """Go along every profile from row `at`, ahead and behind: how long is it flat, and what follows?"""
    width, step = tracks.width, tracks.step_px
    rows, n = width.shape
    twice = np.concatenate([value, value])
    slack = np.concatenate([tracks.slack_at(value)] * 2)
    sign = np.repeat([1, -1], n)
    start, column = np.concatenate([at, at]), np.tile(np.arange(n), 2)
    none, no = np.zeros(2 * n, np.int32), np.zeros(2 * n, bool)
    out = _Way(none, none.copy(), no.copy(), none + FAR, no.copy(), no.copy(), no.copy(), no.copy())
    gaze = _Gaze(slack, ~no, ~no, none.copy(), np.zeros(2 * n, np.float32), none.copy(), none.copy())
    with np.errstate(invalid="ignore"):
        for j in range(1, rows):
            index = start + sign * j
            inside = (index >= 0) & (index < rows)
            w = width[np.clip(index, 0, rows - 1), column]
            ended = gaze.on & inside & np.isnan(w)
            out.ends |= ended & ((gaze.flat & (gaze.bump == 0)) | (gaze.thin == 1))
            out.end[ended] = j
            out.leaves |= gaze.on & ~inside & (gaze.over > 0)
            gaze.on &= inside & ~ended
            if not gaze.on.any():
                break
            _see(w, twice, j, step, gaze, out)
    return out.where(slice(0, n)), out.where(slice(n, 2 * n))


def _see(w: Floats, value: Floats, j: int, step: float, gaze: _Gaze, out: _Way) -> None:
    """Take one row of the profiles in."""
    high = value * (1 + FLAT_SHARE) + gaze.slack
    low = value * (1 - 0.5 * FLAT_SHARE) - 0.8 * gaze.slack
    fits = gaze.on & gaze.flat & (w <= high) & (w >= low)
    # A crossing line makes a short, sudden bump; a bump that rises slowly is a part that widens and narrows.
    ok = fits & ((gaze.bump == 0) | (gaze.peak >= BUMP_RATIO * value))
    out.run[ok] = j
    out.thin += ok
    out.widens |= gaze.on & gaze.flat & (gaze.bump == 1) & (w > high) & (w <= SLOW_RATIO * value + 1.0)
    gaze.peak = np.where(ok, 0, np.maximum(gaze.peak, np.where(gaze.on, w, 0)))
    gaze.bump = np.where(ok, 0, gaze.bump + 1)
    out.thins |= gaze.on & (gaze.thin == 1) & (w < low)
    gaze.thin = np.where(gaze.on & (w < low) & (gaze.flat | (gaze.thin > 0)), gaze.thin + 1, 0)
    gaze.flat &= (w >= low) & (gaze.bump <= np.ceil((1.4 * value + 2.0) / step))
    gaze.over = np.where(gaze.on & (w >= NECK_RATIO * value + 0.3), gaze.over + 1, 0)
    out.leaves |= gaze.over >= np.ceil(NECK_RATIO * value / step)
    out.lower |= gaze.on & ~out.leaves & (w < low)
