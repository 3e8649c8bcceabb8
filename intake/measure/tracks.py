"""Walking along the middle of thin ink (or thin clear) and noting its width all the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.chords import Floats, across, chords_at, sample
from intake.measure.fields import Seeds
from intake.measure.scale import Side

LEAST_COSINE = 0.94  # a chord further askew than 20 degrees lies across a corner: left as it is
FAINTER = 0.4
BETWEEN = np.linspace(0, 1, 5, dtype=np.float32)
GONE = 0.3  # a chord shorter than this share of the seed's width: the ink has ended


@dataclass(frozen=True, slots=True)
class Tracks:
    """Width profiles, one column a seed: row `steps` is the seed, rows before and after lie along the middle.

    `width` in px is NaN beyond the end of the ink and infinite where it is wider than a chord reaches.
    """

    x: Floats
    y: Floats
    width: Floats
    nx: Floats  # the unit vector across, at the seed
    ny: Floats
    step_px: float

    @property
    def steps(self) -> int:
        """Chords to either side of the seed."""
        return int(self.width.shape[0] - 1) // 2


def track(cover: Bytes, seeds: Seeds, side: Side) -> Tracks:
    """Profiles of all seeds that are no wider than is searched for."""
    width, nx, ny, off = across(cover, seeds.x, seeds.y, side.reach_px)
    thin = width <= 1.3 * side.search_px + 1.5  # a sharp neck reads wider than it is
    width, nx, ny, off = width[thin], nx[thin], ny[thin], off[thin]
    x, y = seeds.x[thin] + off * nx, seeds.y[thin] + off * ny
    middle = _Path(*(v[None] for v in (x, y, width, -ny, nx)))
    ahead = _walk(cover, x, y, -ny, nx, width, side)
    behind = _walk(cover, x, y, ny, -nx, width, side)
    whole = _Path(*(np.concatenate(p) for p in zip(behind.turned(), middle, ahead, strict=True)))
    return Tracks(whole.x, whole.y, _straighten(whole), nx, ny, side.step_px)


class _Path(NamedTuple):
    """Positions, chords and headings of a walk, each of shape (steps, seeds), NaN where it has ended."""

    x: Floats
    y: Floats
    width: Floats
    tx: Floats
    ty: Floats

    def turned(self) -> _Path:
        """The same path walked the other way."""
        return _Path(self.x[::-1], self.y[::-1], self.width[::-1], -self.tx[::-1], -self.ty[::-1])


@dataclass(slots=True)
class _Walkers:
    """Where each walk is, which way it heads, and how wide the ink was there."""

    x: Floats
    y: Floats
    tx: Floats
    ty: Floats
    width: Floats
    first: Floats
    alive: NDArray[np.bool_]


def _walk(cover: Bytes, x: Floats, y: Floats, tx: Floats, ty: Floats, width: Floats, side: Side) -> _Path:
    """`side.steps` steps one way."""
    path = _Path(*(np.full((side.steps, len(x)), np.nan, np.float32) for _ in range(5)))
    walk = _Walkers(
        x.copy(), y.copy(), tx.copy(), ty.copy(), width.copy(), width.copy(), np.ones(len(x), bool)
    )
    for k in range(side.steps):
        on = np.flatnonzero(walk.alive)
        if not len(on):
            break
        _step(cover, walk, on, side, _Path(*(p[k] for p in path)))
    return path


def _step(cover: Bytes, walk: _Walkers, on: NDArray[np.int64], side: Side, out: _Path) -> None:
    """Take one step with the walkers `on`; straight on where the width jumps (a junction, or the end)."""
    h = np.float32(side.step_px)
    tx, ty = walk.tx[on], walk.ty[on]
    x, y = walk.x[on] + h * tx, walk.y[on] + h * ty
    chord = chords_at(cover, x, y, -ty, tx, side.reach_px)
    width = chord.width
    gone = (width < GONE * walk.first[on]) | (width < 0.15) | _crosses_clear(cover, walk, on, x, y)
    walk.alive[on[gone]] = False
    steady = ~chord.open & (np.abs(width - walk.width[on]) <= 0.35 * walk.width[on] + 1.0)
    off = np.where(steady, 0.5 * (chord.right - chord.left), 0.0).astype(np.float32)
    cx, cy = x - off * ty, y + off * tx
    dx, dy = cx - walk.x[on], cy - walk.y[on]
    far = np.maximum(np.hypot(dx, dy), 1e-3)
    ux, uy = tx + dx / far, ty + dy / far
    norm = np.maximum(np.hypot(ux, uy), 1e-3)
    walk.tx[on], walk.ty[on] = np.where(steady, ux / norm, tx), np.where(steady, uy / norm, ty)
    walk.x[on], walk.y[on] = cx, cy
    walk.width[on] = np.where(steady, width, walk.width[on])
    found = (cx, cy, np.where(chord.open, np.inf, width), tx, ty)
    for row, value in zip(out, found, strict=True):
        row[on] = np.where(gone, np.nan, value)


def _crosses_clear(
    cover: Bytes, walk: _Walkers, on: NDArray[np.int64], x: Floats, y: Floats
) -> NDArray[np.bool_]:
    """Whether a step would jump over clear into other ink: a place between is much fainter."""
    share = BETWEEN[:, None]
    way = sample(cover, walk.x[on] + share * (x - walk.x[on]), walk.y[on] + share * (y - walk.y[on]))
    both_ends = np.maximum(way[0], way[-1])
    return np.asarray(way.min(axis=0) < FAINTER * both_ends, np.bool_)


def _straighten(path: _Path) -> Floats:
    """Chords that were laid a little askew, shortened by the cosine to the middle line's own direction."""
    cosine = np.ones_like(path.width)
    dx, dy = path.x[2:] - path.x[:-2], path.y[2:] - path.y[:-2]
    far = np.maximum(np.hypot(dx, dy), 1e-3)
    along = np.abs(dx * path.tx[1:-1] + dy * path.ty[1:-1]) / far
    cosine[1:-1] = np.where(along >= LEAST_COSINE, along, 1.0)
    return path.width * cosine
