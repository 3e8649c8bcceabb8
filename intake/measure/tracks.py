"""Walking along the middle of thin ink (or thin clear) and noting its width all the way."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import ceil
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.chords import CHUNK, Floats, across, chords_at, on_grid, sample
from intake.measure.scale import (
    CRISP_FLAT_PX,
    CRISP_FLAT_SHARE,
    CRISP_RUNS,
    FLAT_PX,
    FLAT_SHARE,
    LINE_ASPECT,
    NECK_RATIO,
    Side,
)
from intake.measure.seeds import Seeds

LEAST_COSINE = 0.94  # a chord further askew than 20 degrees lies across a corner: left as it is
BLURRED_PX = 2.0  # a sharp neck reads up to so much wider than it is
SLIDES, SLIDE_STEPS = 2, 1.75  # a lead on a neck's flank is moved on so often, by so many steps
FAINTER = 0.4
WELL_COVERED, DIP = 170, 0.78
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
    is_crisp: NDArray[np.bool_]  # there is no anti-aliasing around the seed
    step_px: float

    def where(self, keep: NDArray[Any]) -> Tracks:
        """The tracks to keep."""
        x, y, width = (v[:, keep] for v in (self.x, self.y, self.width))
        return Tracks(x, y, width, self.nx[keep], self.ny[keep], self.is_crisp[keep], self.step_px)

    def slack_at(self, value: Floats) -> Floats:
        """How much the chords of flat lines of these widths may differ, in px."""
        return slack_of(self.is_crisp, value)

    @property
    def steps(self) -> int:
        """Chords to either side of the seed."""
        return int(self.width.shape[0] - 1) // 2


def slack_of(is_crisp: NDArray[np.bool_], value: Floats) -> Floats:
    """Sampling noise in px: more where there is no anti-aliasing, the more the wider."""
    steps = np.clip(CRISP_FLAT_SHARE * np.nan_to_num(value), FLAT_PX, CRISP_FLAT_PX)
    return np.where(is_crisp, steps, FLAT_PX).astype(np.float32)


@dataclass(frozen=True, slots=True)
class Leads:
    """Middles of thin ink with the way across it: where a walk can begin."""

    x: Floats
    y: Floats
    width: Floats
    nx: Floats
    ny: Floats
    seed_x: Floats  # where it was proposed: that decides which window and field it belongs to
    seed_y: Floats
    is_crisp: NDArray[np.bool_]  # there is no anti-aliasing around it

    def __len__(self) -> int:
        return len(self.x)

    def where(self, keep: NDArray[Any]) -> Leads:
        """The leads to keep."""
        return Leads(*(getattr(self, f.name)[keep] for f in fields(self)))

    @staticmethod
    def joined(parts: list[Leads]) -> Leads:
        """All leads of several."""
        return Leads(*(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Leads)))


def leads_of(cover: Bytes, crisp: Bytes | None, seeds: Seeds, side: Side) -> Leads:
    """The seeds that are no wider than is searched for, moved to the middle."""
    reach = ceil(0.55 * (side.search_px + BLURRED_PX)) + 2  # a seed lies near the middle
    widest = side.search_px + BLURRED_PX
    width, nx, ny, off = across(cover, seeds.x, seeds.y, reach, seeds.is_neck, widest)
    thin = width <= widest
    width, nx, ny, off = width[thin], nx[thin], ny[thin], off[thin]
    x, y = seeds.x[thin], seeds.y[thin]
    is_crisp = np.zeros(len(x), bool)
    if crisp is not None:
        is_crisp = crisp[y.astype(np.int64), x.astype(np.int64)] != 0
    leads = Leads(x + on_grid(off * nx), y + on_grid(off * ny), width, nx, ny, x, y, is_crisp)
    thinner = _thinner_way(cover, leads, side)
    found = [leads.where(np.flatnonzero(thinner == 0))]
    for _ in range(SLIDES):
        flank = np.flatnonzero(thinner != 0)
        if not len(flank):
            break
        leads = _slid(cover, leads.where(flank), thinner[flank], side)
        thinner = _thinner_way(cover, leads, side)
        found.append(leads.where(np.flatnonzero(thinner == 0)))
    return Leads.joined(found)


def _slid(cover: Bytes, leads: Leads, way: Floats, side: Side) -> Leads:
    """Leads on the flank of a neck, or of a tip, moved on to where it is thinner."""
    t = np.float32(SLIDE_STEPS * side.step_px) * way
    x, y = leads.x - on_grid(t * leads.ny), leads.y + on_grid(t * leads.nx)
    reach = ceil(0.55 * (side.search_px + BLURRED_PX)) + 2
    width, nx, ny, off = across(cover, x, y, reach, np.ones(len(x), bool), side.search_px + BLURRED_PX)
    moved = Leads(
        x + on_grid(off * nx),
        y + on_grid(off * ny),
        width,
        nx,
        ny,
        leads.seed_x,
        leads.seed_y,
        leads.is_crisp,
    )
    return moved.where(np.flatnonzero((width > 0.5) & (width < leads.width)))


def _thinner_way(cover: Bytes, leads: Leads, side: Side) -> Floats:
    """Which way it thins out while it widens the other way (a tip, a notch, a neck's flank).

    1: it is thinner ahead, −1: behind, 0: neither.
    """
    t, w = np.float32(2.5 * side.step_px), leads.width
    dx, dy = on_grid(t * leads.ny), on_grid(t * leads.nx)
    ahead, behind = (
        chords_at(cover, leads.x - s * dx, leads.y + s * dy, leads.nx, leads.ny, side.reach_px)
        for s in (np.float32(1), np.float32(-1))
    )
    more = slack_of(leads.is_crisp, w) + np.float32(0.05)
    wide, thin = w * (1 + FLAT_SHARE) + more, w * (1 - 0.5 * FLAT_SHARE) - more
    a, b = (np.where(c.open, np.inf, c.width) for c in (ahead, behind))
    return (((b > wide) & (a < thin)).astype(np.float32) - ((a > wide) & (b < thin))).astype(np.float32)


def track(cover: Bytes, leads: Leads, side: Side) -> Tracks:
    """The width profiles along the middle through all leads."""
    x, y, width, nx, ny = leads.x, leads.y, leads.width, leads.nx, leads.ny
    middle = _Path(*(v[None] for v in (x, y, width, -ny, nx)))
    twice = [np.concatenate([v, v]) for v in (x, y, width)]
    tx, ty = np.concatenate([-ny, ny]), np.concatenate([nx, -nx])
    both_ways = _walk(cover, twice[0], twice[1], tx, ty, twice[2], side)
    ahead, behind = (
        _Path(*(v[:, part] for v in both_ways)) for part in (slice(0, len(x)), slice(len(x), None))
    )
    whole = _Path(*(np.concatenate(p) for p in zip(behind.turned(), middle, ahead, strict=True)))
    return Tracks(whole.x, whole.y, _straighten(whole), nx, ny, leads.is_crisp, side.step_px)


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
    flat: NDArray[np.int32]  # steps that the width has stayed that of the seed; -1: it no longer does
    wide: NDArray[np.int32]  # steps in a part wide enough for a neck


def _walk(cover: Bytes, x: Floats, y: Floats, tx: Floats, ty: Floats, width: Floats, side: Side) -> _Path:
    """`side.steps` steps one way."""
    path = _Path(*(np.full((side.steps, len(x)), np.nan, np.float32) for _ in range(5)))
    none = np.zeros(len(x), np.int32)
    state = (x.copy(), y.copy(), tx.copy(), ty.copy(), width.copy(), width.copy())
    walk = _Walkers(*state, np.ones(len(x), bool), none, none.copy())
    for k in range(side.steps):
        on = np.flatnonzero(walk.alive)
        if not len(on):
            break
        _step(cover, walk, on, side, _Path(*(p[k] for p in path)))
        _settle(walk, on, path, k, side)
    return path


def _settle(walk: _Walkers, on: NDArray[np.int64], path: _Path, k: int, side: Side) -> None:
    """Stop the walks that know enough: a line long enough, or a part wide enough."""
    width, first = path.width[k, on], walk.first[on]
    with np.errstate(invalid="ignore"):
        same = np.abs(width - first) <= FLAT_SHARE * first + FLAT_PX
        walk.flat[on] = np.where(same & (walk.flat[on] == k), k + 1, walk.flat[on])
        walk.wide[on] = np.where(width >= NECK_RATIO * first + 0.3, walk.wide[on] + 1, 0)
    enough = np.maximum(CRISP_RUNS * side.run_px, LINE_ASPECT * first) / side.step_px + 2.0
    long, broad = walk.flat[on] >= enough, walk.wide[on] > NECK_RATIO * first / side.step_px + 1.0
    stopped = on[(long | broad) & walk.alive[on]]
    walk.alive[stopped] = False
    if len(stopped):
        # The last chord of a line, or the seed's own, may lie across its end: the rest is as most of it was.
        usual = np.median(path.width[: k + 1, stopped], axis=0)
        path.width[k:, stopped] = np.where(walk.wide[stopped] > 0, np.inf, usual)


def _step(cover: Bytes, walk: _Walkers, on: NDArray[np.int64], side: Side, out: _Path) -> None:
    """Take one step with the walkers `on`; straight on where the width jumps (a junction, or the end)."""
    h = np.float32(side.step_px)
    tx, ty = walk.tx[on], walk.ty[on]
    x, y = walk.x[on] + on_grid(h * tx), walk.y[on] + on_grid(h * ty)
    chord = chords_at(cover, x, y, -ty, tx, side.reach_px)
    width = chord.width
    gone = (width < GONE * walk.first[on]) | (width < 0.15) | _crosses_clear(cover, walk, on, x, y)
    walk.alive[on[gone]] = False
    steady = ~chord.open & (np.abs(width - walk.width[on]) <= 0.35 * walk.width[on] + 1.0)
    off = np.where(steady, 0.5 * (chord.right - chord.left), 0.0).astype(np.float32)
    cx, cy = x - on_grid(off * ty), y + on_grid(off * tx)
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
    answer = np.empty(len(x), bool)
    share = BETWEEN[:, None]
    for start in range(0, len(x), CHUNK):
        part = slice(start, start + CHUNK)
        from_x, from_y = walk.x[on[part]], walk.y[on[part]]
        dx, dy = (on_grid(share * (v[part] - v0)) for v, v0 in ((x, from_x), (y, from_y)))
        way = sample(cover, from_x + dx, from_y + dy)
        least, ends = way.min(axis=0), (way[0], way[-1])
        answer[part] = least < FAINTER * np.maximum(*ends)
        # Between two places that are well covered, a faint dip is a hairline of the other side.
        answer[part] |= (np.minimum(*ends) > WELL_COVERED) & (least < DIP * np.minimum(*ends))
    return answer


def _straighten(path: _Path) -> Floats:
    """Chords that were laid a little askew, shortened by the cosine to the middle line's own direction."""
    cosine = np.ones_like(path.width)
    dx, dy = path.x[2:] - path.x[:-2], path.y[2:] - path.y[:-2]
    far = np.maximum(np.hypot(dx, dy), 1e-3)
    along = np.abs(dx * path.tx[1:-1] + dy * path.ty[1:-1]) / far
    cosine[1:-1] = np.where(along >= LEAST_COSINE, along, 1.0)
    return path.width * cosine
