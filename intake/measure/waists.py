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
BLUR_PX = 0.5  # a pixel's square and the sampling between pixels, as a standard deviation along any axis
GUESSES = 25
INWARDS_PX = 3.0
WIDEST_SHARE, WIDEST_PX = 4.0, 8.0  # of the waist: what is wider is no side of it
SIMPLER = 1.25  # straight sides are believed while they fit no worse than so many times the curved ones …
SIMPLER_PX = 0.03  # … and so much
WORST_PX = 0.35  # a waist that is fitted worse is none of these shapes
POINTED_SHARE, POINTED_PX = 0.1, 0.06  # of the sides' rise a px: so near must the read waist be to a point
STRAIGHT_SHARE, STRAIGHT_PX = 0.06, 0.03  # the scatter about straight sides, of their rise over 3 px


@dataclass(frozen=True, slots=True)
class _Side:
    """A side of each waist as width = √(c₀ + c₁ t + c₂ t²), or c₀ + c₁ t where it is straight."""

    terms: Array
    is_straight: bool
    good: NDArray[np.bool_]
    misfit: Array  # root mean square of what is left, px

    def at(self, t: Array) -> Array:
        """Widths at t, of shape (points, 1) or (points, waists)."""
        c = self.terms
        if self.is_straight:
            return np.asarray(c[0] + c[1] * t, np.float64)
        return np.asarray(np.sqrt(np.maximum(c[0] + t * (c[1] + t * c[2]), 0.0)), np.float64)


def has_sides(t: Floats, w: Floats, least: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether both sides of each waist begin within the profile; those of a slow taper do not."""
    low = w[least, np.arange(w.shape[1])].astype(np.float64)
    begins = [_begins(t.astype(np.float64), w.astype(np.float64), least, low, sign) for sign in (1, -1)]
    return np.isfinite(begins[0]) & np.isfinite(begins[1])


def waist_of(t: Floats, w: Floats, least: NDArray[np.int64]) -> tuple[Array, NDArray[np.bool_]]:
    """Widths in px of waists whose chords w, of shape (len(t), waists), are thinnest at rows `least`.

    Two straight sides that meet (wedges tip to tip), straight or conic sides with a bar between (discs joined
    by a line, a hyperbolic waist): each is blurred as pixels blur, and the width is that whose blurred shape
    is nearest to what was read. Second value: whether any of them fits.
    """
    straight, curved = (_fit(t.astype(np.float64), w.astype(np.float64), least, s) for s in (True, False))
    believed = straight[1] <= SIMPLER * curved[1] + SIMPLER_PX
    width = np.where(believed, straight[0], curved[0])
    misfit = np.where(believed, straight[1], curved[1])
    return width, misfit <= WORST_PX


def _fit(t: Array, w: Array, least: NDArray[np.int64], is_straight: bool) -> tuple[Array, Array]:
    """Widths and misfits (px; infinite where there are no two sides) of one family of shapes."""
    low = np.nan_to_num(w[least, np.arange(w.shape[1])], nan=1.0)
    begins = [_begins(t, w, least, low, sign) for sign in (1, -1)]
    right, left = (_side(t, w, b, low, sign, is_straight) for b, sign in zip(begins, (1, -1), strict=True))
    fine = np.arange(t[0], t[-1] + FINE_PX / 2, FINE_PX)
    rise = np.maximum(_directed(right, fine, begins[0], 1), _directed(left, fine, begins[1], -1))
    blur = _blurring(t, fine)
    near = (t[:, None] <= begins[0]) & (t[:, None] >= begins[1]) & np.isfinite(w)
    count = np.maximum(near.sum(axis=0), 1)

    def misfit(guess: Array) -> Array:
        off = np.where(near, blur @ np.maximum(rise, guess) - np.nan_to_num(w), 0.0)
        return np.asarray(np.sqrt((off * off).sum(axis=0) / count), np.float64)

    floor = np.clip(rise.min(axis=0), 0.25 * low, low)
    share = np.linspace(0.0, 1.0, GUESSES)[:, None]
    guesses = floor + share * (low + 0.3 - floor)
    misfits = np.stack([misfit(g) for g in guesses])
    width = _lowest(guesses, misfits)
    total = np.sqrt(misfits.min(axis=0) ** 2 + 0.5 * (right.misfit**2 + left.misfit**2))
    total = np.where(right.good & left.good, total, np.inf)
    if is_straight:
        width = np.where(_is_pointed(right, left, low, floor), floor, width)
    return width, total


def _is_pointed(right: _Side, left: _Side, low: Array, meet: Array) -> NDArray[np.bool_]:
    """Whether straight sides meet in a point: the read waist is then as much wider as blur makes it."""
    steep = 0.5 * (right.terms[1] - left.terms[1])
    blurred = steep * BLUR_PX * np.sqrt(2.0 / np.pi)
    straight = [s.misfit < STRAIGHT_SHARE * 3.0 * np.abs(s.terms[1]) + STRAIGHT_PX for s in (right, left)]
    agrees = np.abs(low - meet - blurred) < POINTED_SHARE * steep + POINTED_PX
    return np.asarray(straight[0] & straight[1] & agrees & (meet > 0.3 * low), np.bool_)


def _begins(t: Array, w: Array, least: NDArray[np.int64], low: Array, sign: int) -> Array:
    """Where each side begins to be a side."""
    away = sign * (t[:, None] - t[least])
    wider = np.isfinite(w) & (w > low + np.minimum(OUT_SHARE * low + OUT_PX, OUT_MOST_PX))
    return np.asarray(sign * np.where(wider & (away > 0), sign * t[:, None], np.inf).min(axis=0), np.float64)


def _directed(side: _Side, fine: Array, begins: Array, sign: int) -> Array:
    """The side's widths on its own side of the waist; it may reach somewhat further in than it begins."""
    t = fine[:, None]
    widths = side.at(np.broadcast_to(t, (len(fine), len(begins))))
    return np.asarray(np.where(sign * (t - begins) >= -INWARDS_PX, widths, 0.0), np.float64)


def _lowest(guesses: Array, misfits: Array) -> Array:
    """Where a parabola through the three lowest misfits is lowest."""
    n = np.arange(misfits.shape[1])
    k = np.clip(misfits.argmin(axis=0), 1, len(misfits) - 2)
    a, b, c = (misfits[k + d, n] ** 2 for d in (-1, 0, 1))
    bend = a - 2 * b + c
    shift = np.where(bend > 1e-12, 0.5 * (a - c) / np.where(bend > 1e-12, bend, 1.0), 0.0)
    return np.asarray(guesses[k, n] + np.clip(shift, -1, 1) * (guesses[1] - guesses[0]), np.float64)


def _side(t: Array, w: Array, begins: Array, low: Array, sign: int, is_straight: bool) -> _Side:
    """Least squares through one side of each waist, its blur taken off."""
    with np.errstate(invalid="ignore"):
        away = sign * (t[:, None] - begins)
    use = np.isfinite(w) & (away >= BLURRED_PX) & (away <= SIDE_PX) & (w < WIDEST_SHARE * low + WIDEST_PX)
    read, degree = np.where(use, w, 0.0), 1 if is_straight else 2
    if is_straight:
        terms = _polynomial(t, read, use, degree)
        return _judged(_Side(terms, True, np.asarray(use.any(axis=0), np.bool_), low), t, w, use, sign)
    side = _Side(_polynomial(t, read**2, use, degree), False, np.asarray(use.any(axis=0), np.bool_), low)
    for _ in range(2):
        h = FINE_PX
        bend = (side.at(t[:, None] + h) - 2 * side.at(t[:, None]) + side.at(t[:, None] - h)) / h**2
        sharp = np.where(use, np.maximum(w - 0.5 * BLUR_PX**2 * np.clip(bend, -3.0, 3.0), 0.1), 0.0)
        side = _Side(_polynomial(t, sharp**2, use, degree), False, side.good, low)
    return _judged(side, t, w, use, sign)


def _judged(side: _Side, t: Array, w: Array, use: NDArray[np.bool_], sign: int) -> _Side:
    """With its misfit, and whether it is a side at all: enough points, and widening outwards."""
    count = use.sum(axis=0)
    off = np.where(use, side.at(np.broadcast_to(t[:, None], w.shape)) - np.nan_to_num(w), 0.0)
    misfit = np.sqrt((off * off).sum(axis=0) / np.maximum(count, 1))
    first = np.where(use, sign * t[:, None], np.inf).min(axis=0) * sign
    last = np.where(use, sign * t[:, None], -np.inf).max(axis=0) * sign
    ends = side.at(
        np.stack([np.nan_to_num(first, posinf=0, neginf=0), np.nan_to_num(last, posinf=0, neginf=0)])
    )
    return _Side(side.terms, side.is_straight, (count >= 5) & (ends[1] > ends[0] + 0.3), misfit)


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
