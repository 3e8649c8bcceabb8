"""Laying blocks by beam search: of many half-laid strips the best are kept, each with one block more."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tickets.film.skylines import WALL, Gaps, Ints, Laying, Longs, Skylines, Supply

MORE = 3  # so many times as many are looked at as are kept, for some are the same


@dataclass(frozen=True, slots=True)
class Leaning:
    """What a search prefers beside losing little film.

    `corners`: an even front; `large`: large blocks first; `dice`: chance; each against one block's film lost.
    `is_share`: film lost counts as a share of the film used. `is_fixed`: blocks go to the higher side of a
    gap, else to the side that they are level with.
    """

    corners: float = 0.0
    large: float = 0.0
    dice: float = 0.0
    is_share: bool = False
    is_fixed: bool = False


@dataclass(frozen=True, slots=True)
class Pile:
    """What was laid on one strip: (block, column, step) each; `end` in steps; `value`: worth ÷ film."""

    blocks: tuple[tuple[int, int, int], ...]
    end: int
    value: float


@dataclass(slots=True)
class _Options:
    """Every block that fits some strip: `rows` and `block`, where it would lie, how good that is."""

    rows: NDArray[np.intp]
    laying: Laying
    score: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Places:
    """Which block would lie on which strip, from which column, with how many columns to `rest` beside it."""

    rows: NDArray[np.intp]
    block: NDArray[np.intp]
    column: Longs
    rest: Longs
    to_right: NDArray[np.bool_]


@dataclass(slots=True)
class Beam:
    """Searches one supply. `lead`: steps that any strip takes besides what is laid on it."""

    supply: Supply
    lead: int = 0
    seed: int = 1
    steps: int = field(init=False, default=0)
    strips: int = field(init=False, default=0)
    _mean: float = field(init=False)
    _area: Longs = field(init=False)
    _least_long: Ints = field(init=False)
    _salt: Longs = field(init=False)
    _lot_salt: Longs = field(init=False)
    _dice: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        blocks, counts = self.supply.blocks, self.supply.counts
        self._area = blocks.area
        self._mean = max(1.0, float(self._area.sum()) / max(1, int(blocks.copies.sum())))
        self._least_long = np.full(len(counts), WALL, np.int32)
        np.minimum.at(self._least_long, blocks.lot, blocks.long)
        self._dice = np.random.default_rng(self.seed)
        numbers = self._dice.integers(1, 1 << 60, self.supply.columns, dtype=np.int64)
        self._salt = np.concatenate(([np.int64(0)], np.cumsum(numbers)))
        lots = self._dice.integers(1, 1 << 60, len(counts), dtype=np.int64)
        self._lot_salt = lots[blocks.lot] * blocks.copies

    def search(self, keep: int, leaning: Leaning, stop: Callable[[], bool]) -> Pile | None:
        """The best pile with `keep` strips kept at each step; None where there was none, or when stopped."""
        strips = Skylines.bare(self.supply)
        steps: list[tuple[NDArray[np.intp], Laying]] = []
        best: tuple[float, int, int, int] | None = None
        while True:
            if stop():
                return None
            gaps = strips.settle(self.supply, self._salt)
            ready = self._ready(strips, gaps)
            if ready and (best is None or ready[0] > best[0]):
                best = (*ready, len(steps))
            options = self._options(strips, gaps, leaning)
            self.steps += 1
            self.strips += len(strips)
            if not len(options.rows):
                break
            kept = self._kept(options, keep)
            laid = _picked(options.laying, kept)
            steps.append((options.rows[kept], laid))
            strips = strips.after(options.rows[kept], laid)
        return _traced(steps[: best[3]], best) if best else None

    @property
    def cost(self) -> int:
        """As how many pieces laid on trial the searches so far count: found by timing both."""
        return math.ceil(0.3 * self.steps + 0.016 * self.strips)

    def _ready(self, strips: Skylines, gaps: Gaps) -> tuple[float, int, int] | None:
        """Of the strips on which no more can be laid: the best value, its row, its end."""
        is_ready = ~gaps.fits.any(axis=1)
        if self.supply.most_lost is not None:
            is_ready &= ~strips.waiting.any(axis=1)
        rows = np.flatnonzero(is_ready & (strips.end > 0))
        if not len(rows):
            return None
        value = strips.worth[rows] / (strips.end[rows] + self.lead)
        best = int(value.argmax())
        return float(value[best]), int(rows[best]), int(strips.end[rows[best]])

    def _options(self, strips: Skylines, gaps: Gaps, leaning: Leaning) -> _Options:
        blocks, fits = self.supply.blocks, gaps.fits
        if self.supply.most_lost is not None:
            longest = np.where(strips.waiting > 0, self._least_long, 0).max(axis=1)
            fits &= (longest <= self.supply.room - gaps.low)[:, None]
        rows, block = np.nonzero(fits)
        wide, first = blocks.wide[block], gaps.first[rows]
        rest = gaps.last[rows] - first - wide
        top = gaps.low[rows] + blocks.long[block]
        left, right = gaps.left[rows], gaps.right[rows]
        to_right = right > left
        if not leaning.is_fixed:
            to_right = (top != left) & ((top == right) | to_right)
        if blocks.near is not None:  # what is not straight may lie lower on the other side
            also = np.flatnonzero(rest > 0)
            rows, block = np.concatenate((rows, rows[also])), np.concatenate((block, block[also]))
            to_right = np.concatenate((to_right, ~to_right[also]))
            rest, first = np.concatenate((rest, rest[also])), np.concatenate((first, first[also]))
        column = np.where(to_right, first + rest, first)
        return self._placed(strips, gaps, leaning, _Places(rows, block, column, rest, to_right))

    def _placed(self, strips: Skylines, gaps: Gaps, leaning: Leaning, at: _Places) -> _Options:
        blocks, rows, block, column, rest = self.supply.blocks, at.rows, at.block, at.column, at.rest
        step, closed = gaps.low[rows], np.zeros(len(rows), np.int64)
        if blocks.near is not None:
            lying = strips.rest(rows, block, column, blocks)
            step, closed = lying.step, lying.closed
        low, left, right = gaps.low[rows], gaps.left[rows], gaps.right[rows]
        top = step + blocks.long[block]
        meets_left, meets_right = top == left, top == right
        meets = np.where(at.to_right, meets_right, meets_left)
        more = np.where(rest == 0, -(meets_left.astype(np.int32) + meets_right), 1 - meets)
        corners = strips.corners[rows] + more.astype(np.int32)
        is_dead = (rest > 0) & (rest < gaps.narrowest[rows])
        lower = np.minimum(top, np.where(at.to_right, left, right)) - low
        lost = strips.lost[rows] + closed + np.where(is_dead, rest * np.maximum(lower, 0), 0)
        key = strips.key[rows] - self._lot_salt[block]
        key += (top - low) * (self._salt[column + blocks.wide[block]] - self._salt[column])
        score = self._score(lost, corners, strips.used[rows] + self._area[block], leaning)
        if self.supply.most_lost is not None:
            score[lost > self.supply.most_lost] = np.inf
        used = self._area[block]
        return _Options(rows, Laying(blocks, block, column, top, corners, key, step, closed, used), score)

    def _score(self, lost: Longs, corners: Ints, used: Longs, leaning: Leaning) -> NDArray[np.float64]:
        mean = self._mean
        score = lost + (leaning.corners * mean) * corners
        score = score / (used + 4 * mean) * 20 if leaning.is_share else score / mean
        score = score - (leaning.large / mean) * used
        return score + leaning.dice * self._dice.random(len(score)) if leaning.dice else score

    def _kept(self, options: _Options, keep: int) -> NDArray[np.intp]:
        """The best options, of those that come to the same strip only one."""
        score = options.score
        best = np.argpartition(score, MORE * keep)[: MORE * keep] if len(score) > MORE * keep else None
        order = np.argsort(score, kind="stable") if best is None else best[np.argsort(score[best])]
        order = order[np.isfinite(score[order])]
        _, first = np.unique(options.laying.key[order], return_index=True)
        kept: NDArray[np.intp] = order[np.sort(first)[:keep]]
        return kept


def _picked(laying: Laying, kept: NDArray[np.intp]) -> Laying:
    return Laying(
        laying.blocks,
        laying.block[kept],
        laying.column[kept],
        laying.top[kept],
        laying.corners[kept],
        laying.key[kept],
        laying.step[kept],
        laying.closed[kept],
        laying.used[kept],
    )


def _traced(steps: list[tuple[NDArray[np.intp], Laying]], best: tuple[float, int, int, int]) -> Pile:
    value, row, end, _ = best
    laid = []
    for rows, laying in reversed(steps):
        laid.append((int(laying.block[row]), int(laying.column[row]), int(laying.step[row])))
        row = int(rows[row])
    return Pile(tuple(reversed(laid)), end, value)
