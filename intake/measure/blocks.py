"""Where a window has edges at all: what is evenly clear or evenly inked is not looked at again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.scale import TILE
from intake.measure.windows import Window

ROWS = 128  # of a block; spans of columns are cut out of it
EVEN = 16  # px: tiles that are looked at for being even
Words = NDArray[np.uint64]
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Block:
    """A rectangle of a window's own pixels, in the window's padded rows and columns."""

    top: int
    bottom: int
    left: int
    right: int

    def around(self, cover: Bytes, margin: int) -> Bytes:
        """The block with a margin, cut from an array of the window's padded size."""
        return cover[self.top - margin : self.bottom + margin, self.left - margin : self.right + margin]

    def inside(self, values: Bytes, margin: int) -> Bytes:
        """The block's own part of an array that has the margin."""
        return values[margin : values.shape[0] - margin, margin : values.shape[1] - margin]


def blocks_of(window: Window, margin: int) -> Iterator[Block]:
    """The parts of the window's own pixels that have an edge within `margin` px, which is at most a tile."""
    even = _even_tiles(window.cover)
    pad, own_bottom = window.pad, window.pad + window.bottom - window.top
    for top in range(pad, own_bottom, ROWS):
        bottom = min(top + ROWS, own_bottom)
        rows = even[max(top - margin, 0) // EVEN : -(-(bottom + margin) // EVEN)]
        lively = (rows == 2).any(axis=0) | (rows != rows[:1]).any(axis=0)
        lively[1:] |= (rows[:, 1:] != rows[:, :-1]).any(axis=0)
        for left, right in _spans(lively, margin, pad, pad + window.width):
            yield Block(top, bottom, left, right)


def halo_of(window: Window, margin: int) -> list[Block]:
    """The rows above and below the window's own, but for `margin` px at either end of the window."""
    right, own_bottom = window.pad + window.width, window.pad + window.bottom - window.top
    above = Block(margin, window.pad, window.pad, right)
    return [above, Block(own_bottom, window.cover.shape[0] - margin, window.pad, right)]


def _even_tiles(cover: Bytes) -> NDArray[np.uint8]:
    """For every tile 0 when it is all clear, 1 when it is all full, else 2; the last may be smaller."""
    words = cover.view(np.uint64)
    answer = np.full((-(-words.shape[0] // EVEN), -(-words.shape[1] * 8 // EVEN)), 2, np.uint8)
    starts = np.arange(0, words.shape[0], EVEN), np.arange(0, words.shape[1], EVEN // 8)
    for value, number, gather in ((0, 0, np.bitwise_or), (0xFFFFFFFFFFFFFFFF, 1, np.bitwise_and)):
        answer[_gathered(words, starts, gather) == np.uint64(value)] = number
    return answer


def _gathered(words: Words, starts: tuple[Places, Places], gather: np.ufunc) -> Words:
    """All bits of each tile's words taken together, rows first: that is a plain pass over memory."""
    rows = gather.reduceat(words, starts[0], axis=0)
    return np.asarray(gather.reduceat(rows, starts[1], axis=1), np.uint64)


def _spans(lively: NDArray[np.bool_], margin: int, least: int, most: int) -> Iterator[tuple[int, int]]:
    """Runs of lively tiles with their margin as columns, those that touch made one."""
    at = np.flatnonzero(lively)
    if not len(at):
        return
    cuts = np.flatnonzero(np.diff(at) * EVEN > EVEN + 2 * margin + TILE) + 1
    for run in np.split(at, cuts):
        left, right = int(run[0]) * EVEN - margin, min((int(run[-1]) + 1) * EVEN + margin, most)
        left = max(least + (left - least) // TILE * TILE, least)  # at a tile of the picture
        if left < right:
            yield left, right
