"""Many half-laid strips side by side: how far each is taken, and where the next block may lie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int32]
Longs = NDArray[np.int64]

WALL = 1 << 28  # how high the edges of the film stand


@dataclass(frozen=True, slots=True)
class Blocks:
    """Rectangles that may be laid, an entry for each way: `wide` columns × `long` steps, `copies` of a `lot`.

    `worth`: what laying one is worth, in any unit.
    """

    wide: Ints
    long: Ints
    lot: NDArray[np.intp]
    copies: Ints
    worth: NDArray[np.float64]

    @property
    def area(self) -> Longs:
        """Columns × steps of each."""
        return self.wide.astype(np.int64) * self.long


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
    that stand and wait alike.
    """

    tops: Ints
    waiting: Ints
    lost: Longs
    corners: Ints
    used: Longs
    worth: NDArray[np.float64]
    end: Ints
    key: Longs

    @classmethod
    def bare(cls, supply: Supply) -> Skylines:
        """One strip with nothing on it."""
        zero = np.zeros(1, np.int64)
        tops = np.zeros((1, supply.columns), np.int32)
        waiting = supply.counts[None, :].astype(np.int32)
        one, none = np.ones(1, np.int32), np.zeros(1, np.int32)
        return cls(tops, waiting, zero, one, zero.copy(), np.zeros(1), none, zero.copy())

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
        self.key[stuck] += rise * (salt[last] - salt[first])
        self.corners[stuck] -= 1 + (gaps.left[stuck] == gaps.right[stuck])
        self.tops[stuck] = _filled(self.tops[stuck], first, last, to)
        return stuck

    def after(self, rows: NDArray[np.intp], laid: Laying) -> Skylines:
        """These strips, each with one block more."""
        blocks, which = laid.blocks, laid.block
        waiting = self.waiting[rows]
        waiting[np.arange(len(rows)), blocks.lot[which]] -= blocks.copies[which]
        return Skylines(
            _filled(self.tops[rows], laid.column, laid.column + blocks.wide[which], laid.top),
            waiting,
            self.lost[rows],
            laid.corners,
            self.used[rows] + blocks.area[which],
            self.worth[rows] + blocks.worth[which],
            np.maximum(self.end[rows], laid.top),
            laid.key,
        )


@dataclass(frozen=True, slots=True)
class Laying:
    """Which block is laid on each strip, from which column, up to which top; and what follows from it."""

    blocks: Blocks
    block: NDArray[np.intp]
    column: Longs
    top: Ints
    corners: Ints
    key: Longs


def _filled(tops: Ints, first: NDArray[Any], last: NDArray[Any], to: Ints) -> Ints:
    columns = np.arange(tops.shape[1])
    part = (columns >= first[:, None]) & (columns < last[:, None])
    return np.where(part, to[:, None], tops)
