"""The width of a waist before the pixels blurred it, found from the sides that it lies between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Floats = NDArray[np.float32]
BLURRED_PX, SIDE_PX = 0.5, 4.0  # from where a side begins: its blur is small, and it is still its own
OUT_SHARE, OUT_PX, OUT_MOST_PX = 0.4, 0.4, 1.2  # a side begins where it is so much wider than the waist
FINE_PX = 0.25
AT_ONCE = 64  # waists fitted together: their guesses take a megabyte
BLUR_PX = 0.5  # a pixel's square and the sampling between pixels, as a standard deviation along any axis
GUESSES = 25
INWARDS_PX, BEYOND_PX = 3.0, 1.0  # a side goes on inwards for so long, or so far beyond the thinnest place
WIDEST_SHARE, WIDEST_PX = 4.0, 8.0  # of the waist: what is wider is no side of it
SIMPLER = 1.25  # straight sides are believed while they fit no worse than so many times the curved ones …
SIMPLER_PX = 0.03  # … and so much
WORST_PX = 0.5  # a waist that is fitted worse is none of these shapes
POINTED_SHARE, POINTED_PX = 0.1, 0.06  # of the sides' rise a px: so near must the read waist be to a point
STRAIGHT_SHARE, STRAIGHT_PX = 0.06, 0.03  # the scatter about straight sides, of their rise over 3 px


@dataclass(frozen=True, slots=True)
class _Waists:
    """Profiles of chords w (px), one a column, at t; each is thinnest, `low` wide, at its row `least`."""

    t: Array
    w: Array
    low: Array
    middle: Array  # where it is thinnest, along t
    right: Array  # where the side to the right begins, along t; infinite: nowhere
    left: Array

    def where(self, part: slice) -> _Waists:
        """Some of them."""
        of = (v[part] for v in (self.low, self.middle, self.right, self.left))
        return _Waists(self.t, self.w[:, part], *of)


def _waists(t: Floats, w: Floats, least: NDArray[np.int64]) -> _Waists:
    wide, along = w.astype(np.float64), t.astype(np.float64)
    low = np.nan_to_num(wide[least, np.arange(w.shape[1])], nan=1.0)
    right, left = (_begins(along, wide, least, low, sign) for sign in (1, -1))
    return _Waists(along, wide, low, along[least], right, left)


@dataclass(frozen=True, slots=True)
class _Sides:
    """Sides of waists, the right ones before the left, as width = √(c₀ + c₁ t + c₂ t²), or c₀ + c₁ t."""

    terms: Array
    is_straight: bool
    good: NDArray[np.bool_]
    misfit: Array  # root mean square of what is left, px

    def at(self, t: Array) -> Array:
        """Widths at t, of shape (points, 1) or (points, sides)."""
        c = self.terms
        if self.is_straight:
            return np.asarray(c[0] + c[1] * t, np.float64)
        return np.asarray(np.sqrt(np.maximum(c[0] + t * (c[1] + t * c[2]), 0.0)), np.float64)


def has_sides(t: Floats, w: Floats, least: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether both sides of each waist begin within the profile; those of a slow taper do not."""
    waists = _waists(t, w, least)
    return np.isfinite(waists.right) & np.isfinite(waists.left)


def waist_of(t: Floats, w: Floats, least: NDArray[np.int64]) -> tuple[Array, NDArray[np.bool_]]:
    """Widths in px of waists whose chords w, of shape (len(t), waists), are thinnest at rows `least`.

    Two straight sides that meet (wedges tip to tip), straight or conic sides with a bar between (discs joined
    by a line, a hyperbolic waist): each is blurred as pixels blur, and the width is that whose blurred shape
    is nearest to what was read. Second value: whether any of them fits.
    """
    waists = _waists(t, w, least)
    width, misfit = np.empty(w.shape[1]), np.empty(w.shape[1])
    for start in range(0, w.shape[1], AT_ONCE):
        part = slice(start, start + AT_ONCE)
        straight, curved = (_fit(waists.where(part), is_straight) for is_straight in (True, False))
        believed = straight[1] <= SIMPLER * curved[1] + SIMPLER_PX
        width[part] = np.where(believed, straight[0], curved[0])
        misfit[part] = np.where(believed, straight[1], curved[1])
    return width, misfit <= WORST_PX


def _fit(of: _Waists, is_straight: bool) -> tuple[Array, Array]:
    """Widths and misfits (px; infinite where there are no two sides) of one family of shapes."""
    n = len(of.low)
    sides = _sides(of, is_straight)
    fine = np.arange(of.t[0], of.t[-1] + FINE_PX / 2, FINE_PX)[:, None]
    widths = sides.at(fine)
    rise = np.maximum(
        np.where(fine >= np.minimum(of.right - INWARDS_PX, of.middle - BEYOND_PX), widths[:, :n], 0.0),
        np.where(fine <= np.maximum(of.left + INWARDS_PX, of.middle + BEYOND_PX), widths[:, n:], 0.0),
    )
    near = (of.t[:, None] <= of.right) & (of.t[:, None] >= of.left) & np.isfinite(of.w)
    floor = np.clip(rise.min(axis=0), 0.25 * of.low, of.low)
    guesses = floor + np.linspace(0.0, 1.0, GUESSES)[:, None] * (of.low + 0.3 - floor)
    off = _blurring(of.t, fine[:, 0]) @ np.maximum(rise, guesses[:, None, :]) - np.nan_to_num(of.w)
    off = np.where(near, off, 0.0)
    misfits = np.sqrt((off * off).sum(axis=1) / np.maximum(near.sum(axis=0), 1))
    width = _lowest(guesses, misfits)
    good, scatter = sides.good[:n] & sides.good[n:], sides.misfit[:n] ** 2 + sides.misfit[n:] ** 2
    total = np.where(good, np.sqrt(misfits.min(axis=0) ** 2 + 0.5 * scatter), np.inf)
    if is_straight:
        width = np.where(_is_pointed(sides, of.low, floor), floor, width)
    return width, total


def _is_pointed(sides: _Sides, low: Array, meet: Array) -> NDArray[np.bool_]:
    """Whether straight sides meet in a point: the read waist is then as much wider as blur makes it."""
    n = len(low)
    steep = 0.5 * (sides.terms[1, :n] - sides.terms[1, n:])
    blurred = steep * BLUR_PX * np.sqrt(2.0 / np.pi)
    straight = sides.misfit < STRAIGHT_SHARE * 3.0 * np.abs(sides.terms[1]) + STRAIGHT_PX
    agrees = np.abs(low - meet - blurred) < POINTED_SHARE * steep + POINTED_PX
    return np.asarray(straight[:n] & straight[n:] & agrees & (meet > 0.3 * low), np.bool_)


def _begins(t: Array, w: Array, least: NDArray[np.int64], low: Array, sign: int) -> Array:
    """Where each side begins to be a side."""
    away = sign * (t[:, None] - t[least])
    wider = np.isfinite(w) & (w > low + np.minimum(OUT_SHARE * low + OUT_PX, OUT_MOST_PX))
    return np.asarray(sign * np.where(wider & (away > 0), sign * t[:, None], np.inf).min(axis=0), np.float64)


def _lowest(guesses: Array, misfits: Array) -> Array:
    """Where a parabola through the three lowest misfits is lowest."""
    n = np.arange(misfits.shape[1])
    k = np.clip(misfits.argmin(axis=0), 1, len(misfits) - 2)
    a, b, c = (misfits[k + d, n] ** 2 for d in (-1, 0, 1))
    bend = a - 2 * b + c
    shift = np.where(bend > 1e-12, 0.5 * (a - c) / np.where(bend > 1e-12, bend, 1.0), 0.0)
    return np.asarray(guesses[k, n] + np.clip(shift, -1, 1) * (guesses[1] - guesses[0]), np.float64)


def _sides(of: _Waists, is_straight: bool) -> _Sides:
    """Least squares through both sides of each waist, their blur taken off."""
    begins, sign = np.concatenate([of.right, of.left]), np.repeat([1.0, -1.0], len(of.low))
    w, low, t = np.tile(of.w, 2), np.tile(of.low, 2), of.t[:, None]
    with np.errstate(invalid="ignore"):
        away = sign * (t - begins)
    use = np.isfinite(w) & (away >= BLURRED_PX) & (away <= SIDE_PX) & (w < WIDEST_SHARE * low + WIDEST_PX)
    read, some = np.where(use, w, 0.0), np.asarray(use.any(axis=0), np.bool_)
    if is_straight:
        return _judged(_Sides(_polynomial(of.t, read, use, 1), True, some, low), t, w, use, sign)
    sides = _Sides(_polynomial(of.t, read**2, use, 2), False, some, low)
    for _ in range(2):
        h = FINE_PX
        bend = (sides.at(t + h) - 2 * sides.at(t) + sides.at(t - h)) / h**2
        sharp = np.where(use, np.maximum(w - 0.5 * BLUR_PX**2 * np.clip(bend, -3.0, 3.0), 0.1), 0.0)
        sides = _Sides(_polynomial(of.t, sharp**2, use, 2), False, some, low)
    return _judged(sides, t, w, use, sign)


def _judged(sides: _Sides, t: Array, w: Array, use: NDArray[np.bool_], sign: Array) -> _Sides:
    """With its misfit, and whether it is a side at all: enough points, and widening outwards."""
    count = use.sum(axis=0)
    off = np.where(use, sides.at(t) - np.nan_to_num(w), 0.0)
    misfit = np.sqrt((off * off).sum(axis=0) / np.maximum(count, 1))
    first = np.where(use, sign * t, np.inf).min(axis=0) * sign
    last = np.where(use, sign * t, -np.inf).max(axis=0) * sign
    ends = sides.at(np.nan_to_num(np.stack([first, last]), posinf=0, neginf=0))
    return _Sides(sides.terms, sides.is_straight, (count >= 5) & (ends[1] > ends[0] + 0.3), misfit)


def _polynomial(t: Array, y: Array, use: NDArray[np.bool_], degree: int) -> Array:
    """Terms of the polynomial through the used rows of each column, from the constant on."""
    powers = t[:, None] ** np.arange(degree + 1)
    weight = use.astype(np.float64)
    normal = np.einsum("ti,tj,tn->nij", powers, powers, weight) + 1e-6 * np.eye(degree + 1)
    aim = np.einsum("ti,tn->ni", powers, weight * y)
    return np.asarray(np.linalg.solve(normal, aim[..., None])[..., 0].T, np.float64)


def _blurring(t: Array, fine: Array) -> Array:
    """The matrix that blurs widths on the fine grid and reads them at t."""
    weights = np.exp(-0.5 * ((t[:, None] - fine) / BLUR_PX) ** 2)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), np.float64)
