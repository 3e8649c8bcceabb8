"""Many half-laid strips side by side: how far each is taken, and where the next block may lie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int32]
Longs = NDArray[np.int64]

WALL = 1 << 28  # how high the edges of the film stand
BEYOND = 1 << 24  # where there is nothing of a block


@dataclass(frozen=True, slots=True)
class Blocks:
    """What may be laid, an entry for each way: a box of `wide` columns × `long` steps, `copies` of a `lot`.

    `worth`: what laying one is worth, in any unit. `near`, `far`: where it begins and ends in each column of
    its box, a row a block, to the right of it `BEYOND` and 0; None: the box is full.
    """

    wide: Ints
    long: Ints
    lot: NDArray[np.intp]
    copies: Ints
    worth: NDArray[np.float64]
    near: Ints | None = None
    far: Ints | None = None

    @property
    def area(self) -> Longs:
        """Columns × steps that each takes for itself."""
        if self.near is None or self.far is None:
            return self.wide.astype(np.int64) * self.long
        taken: Longs = self.far.sum(axis=1, dtype=np.int64) - self.before
        return taken

    @property
    def before(self) -> Longs:
        """Columns × steps of each box before its piece begins."""
        if self.near is None:
            return np.zeros(len(self.wide), np.int64)
        before: Longs = np.where(self.near < BEYOND, self.near, 0).sum(axis=1, dtype=np.int64)
        return before


@dataclass(frozen=True, slots=True)
class Supply:
    """What may be laid on one strip: `counts` pieces of each lot in order, `window` lots open at once.

    `columns` across and `room` steps along. `most_lost`: everything must be laid, with no more than so many
    columns × steps lost; None: as much as serves.
    """

    blocks: Blocks
    counts: Ints
    columns: int
    room: int
    window: int
    most_lost: int | None = None


@dataclass(slots=True)
class Gaps:
    """The lowest gap of each strip: from column `first` to before `last`, `low` steps along.

    `left`, `right`: how high the film stands on either side. `fits`: which blocks fit it, a row a strip.
    `narrowest`: of what may be laid next.
    """

    low: Ints
    first: Longs
    last: Longs
    left: Ints
    right: Ints
    fits: NDArray[np.bool_]
    narrowest: Ints

    @classmethod
    def unknown(cls, strips: int, blocks: int) -> Gaps:
        """Room for so many."""
        low, left, right = (np.zeros(strips, np.int32) for _ in range(3))
        first, last = (np.zeros(strips, np.int64) for _ in range(2))
        none = np.zeros((strips, blocks), np.bool_)
        return cls(low, first, last, left, right, none, np.zeros(strips, np.int32))


@dataclass(slots=True)
class Skylines:
    """Strips, a row each: `tops` of columns; pieces `waiting` of each lot; what is `lost`, `used`, `worth`.

    `corners`: places where the height changes, and one. `end`: the highest top. `key`: the same for strips
    that stand and wait alike. `reach`: how far the film is truly taken, if not to the tops.
    """

    tops: Ints
    waiting: Ints
    lost: Longs
    corners: Ints
    used: Longs
    worth: NDArray[np.float64]
    end: Ints
    key: Longs
    reach: Ints | None = None

    @classmethod
    def bare(cls, supply: Supply) -> Skylines:
        """One strip with nothing on it."""
        zero = np.zeros(1, np.int64)
        tops = np.zeros((1, supply.columns), np.int32)
        waiting = supply.counts[None, :].astype(np.int32)
        one, none = np.ones(1, np.int32), np.zeros(1, np.int32)
        reach = None if supply.blocks.near is None else tops.copy()
        return cls(tops, waiting, zero, one, zero.copy(), np.zeros(1), none, zero.copy(), reach)

    def __len__(self) -> int:
        return len(self.tops)

    def settle(self, supply: Supply, salt: Longs) -> Gaps:
        """The lowest gap of each strip in which something fits; a lower one is filled up, and lost.

        Where nothing fits anywhere, no block `fits`. `salt`: a number for each column, summed up.
        """
        blocks = supply.blocks
        gaps = Gaps.unknown(len(self), len(blocks.wide))
        is_open = self.waiting > 0
        is_open &= np.cumsum(is_open, axis=1) <= supply.window
        have = is_open[:, blocks.lot] & (self.waiting[:, blocks.lot] >= blocks.copies)
        gaps.narrowest = np.where(have, blocks.wide, WALL).min(axis=1).astype(np.int32)
        some = np.flatnonzero(have.any(axis=1))
        while len(some):
            self._find(gaps, some)
            wide, room = gaps.last[some] - gaps.first[some], supply.room - gaps.low[some]
            fits = have[some] & (blocks.wide <= wide[:, None]) & (blocks.long <= room[:, None])
            gaps.fits[some] = fits
            some = self._raise(gaps, some[~fits.any(axis=1)], salt)
        return gaps

    def _find(self, gaps: Gaps, some: NDArray[np.intp]) -> None:
        tops = self.tops[some] if len(some) < len(self) else self.tops
        rows, columns = np.arange(len(some)), tops.shape[1]
        low = tops.min(axis=1)
        is_low = tops == low[:, None]
        first = is_low.argmax(axis=1)
        beyond = ~is_low & (np.arange(columns) > first[:, None])
        last = beyond.argmax(axis=1)
        last = np.where(beyond[rows, last], last, columns)
        gaps.low[some], gaps.first[some], gaps.last[some] = low, first, last
        gaps.left[some] = np.where(first > 0, tops[rows, first - 1], WALL)
        gaps.right[some] = np.where(last < columns, tops[rows, np.minimum(last, columns - 1)], WALL)

    def _raise(self, gaps: Gaps, stuck: NDArray[np.intp], salt: Longs) -> NDArray[np.intp]:
        """Fill up the gaps of these strips to the lower of their sides; those that have one."""
        left, right = gaps.left[stuck], gaps.right[stuck]
        to = np.minimum(left, right)
        stuck, to = stuck[to < WALL], to[to < WALL]
        first, last = gaps.first[stuck], gaps.last[stuck]
        rise = (to - gaps.low[stuck]).astype(np.int64)
        self.lost[stuck] += rise * (last - first)
        if self.reach is not None:
            self.lost[stuck] += _summed(self.tops[stuck] - self.reach[stuck], first, last)
            self.reach[stuck] = _filled(self.reach[stuck], first, last, to)
        self.key[stuck] += rise * (salt[last] - salt[first])
        self.corners[stuck] -= 1 + (gaps.left[stuck] == gaps.right[stuck])
        self.tops[stuck] = _filled(self.tops[stuck], first, last, to)
        return stuck

    def after(self, rows: NDArray[np.intp], laid: Laying) -> Skylines:
        """These strips, each with one block more."""
        blocks, which = laid.blocks, laid.block
        waiting = self.waiting[rows]
        waiting[np.arange(len(rows)), blocks.lot[which]] -= blocks.copies[which]
        last = laid.column + blocks.wide[which]
        return Skylines(
            _filled(self.tops[rows], laid.column, last, laid.top),
            waiting,
            self.lost[rows] + laid.closed,
            laid.corners,
            self.used[rows] + laid.used,
            self.worth[rows] + blocks.worth[which],
            np.maximum(self.end[rows], laid.top),
            laid.key,
            self._reached(rows, laid),
        )

    def rest(self, rows: NDArray[np.intp], block: NDArray[np.intp], column: Longs, blocks: Blocks) -> Rest:
        """Where these blocks come to lie from these columns, and the film that they close off."""
        assert self.reach is not None
        assert blocks.near is not None
        columns = self.reach.shape[1]
        at = np.minimum(column[:, None] + np.arange(blocks.near.shape[1]), columns - 1)
        step = np.maximum((self.reach[rows[:, None], at] - blocks.near[block]).max(axis=1), 0)
        sums = np.zeros((len(self), columns + 1), np.int64)
        np.cumsum(self.reach, axis=1, out=sums[:, 1:])
        wide = blocks.wide[block]
        under = sums[rows, column + wide] - sums[rows, column]
        return Rest(step, step.astype(np.int64) * wide + blocks.before[block] - under)

    def _reached(self, rows: NDArray[np.intp], laid: Laying) -> Ints | None:
        far = laid.blocks.far
        if self.reach is None or far is None:
            return None
        reach = self.reach[rows]
        wide = laid.blocks.wide[laid.block]
        for row, (column, width, which) in enumerate(zip(laid.column, wide, laid.block, strict=True)):
            part = reach[row, column : column + width]
            np.maximum(part, far[which, :width] + laid.step[row], out=part)
        return reach


@dataclass(frozen=True, slots=True)
class Laying:
    """Which block is laid on each strip, from which column, up to which top; and what follows from it."""

    blocks: Blocks
    block: NDArray[np.intp]
    column: Longs
    top: Ints
    corners: Ints
    key: Longs
    step: Ints
    closed: Longs
    used: Longs


@dataclass(frozen=True, slots=True)
class Rest:
    """The step at which each comes to lie, and how much film it closes off."""

    step: Ints
    closed: Longs


def _summed(values: Ints, first: NDArray[Any], last: NDArray[Any]) -> Longs:
    columns = np.arange(values.shape[1])
    part = (columns >= first[:, None]) & (columns < last[:, None])
    summed: Longs = np.where(part, values, 0).sum(axis=1, dtype=np.int64)
    return summed


def _filled(tops: Ints, first: NDArray[Any], last: NDArray[Any], to: Ints) -> Ints:
    columns = np.arange(tops.shape[1])
    part = (columns >= first[:, None]) & (columns < last[:, None])
    return np.where(part, to[:, None], tops)
