"""Which parts of the ground are enclosed by ink: they may be meant as white, so they are asked about."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import at_most
from intake.measure.windows import Window

GROUND = 191  # coverage up to which a pixel can belong to the ground: a gap of half a pixel still connects


class GroundParts:
    """Connected parts of the ground across windows, and which of them reach the canvas edge."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.parent = np.zeros(1, np.int64)
        self.area = np.zeros(1, np.int64)
        self.is_open = np.zeros(1, bool)
        self.last: NDArray[np.int64] = np.zeros(width, np.int64)
        self.labels: NDArray[np.int32] = np.zeros((1, width), np.int32)
        self.base = 0

    def add(self, window: Window) -> None:
        """Take the window's own rows; `part_at` then answers for them."""
        mask = np.ascontiguousarray(at_most(window.own, GROUND))
        number, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
        self.labels = np.asarray(labels, np.int32)
        self.base = len(self.parent) - 1
        fresh = np.arange(1, number) + self.base
        self.parent = np.concatenate([self.parent, fresh])
        self.area = np.concatenate([self.area, stats[1:, cv2.CC_STAT_AREA].astype(np.int64)])
        touches = np.zeros(number, bool)
        touches[np.unique(self.labels[:, [0, -1]])] = True
        if window.top == 0:
            touches[np.unique(self.labels[0])] = True
        if window.bottom == self.height:
            touches[np.unique(self.labels[-1])] = True
        self.is_open = np.concatenate([self.is_open, touches[1:]])
        self._join(self._numbers(self.labels[0]))
        self.last = self._numbers(self.labels[-1])

    def _numbers(self, row: NDArray[np.int32]) -> NDArray[np.int64]:
        return np.where(row > 0, row.astype(np.int64) + self.base, 0)

    def _join(self, first: NDArray[np.int64]) -> None:
        """Unite what touches across the seam, diagonals included."""
        pairs = [
            np.stack(
                [self.last[max(0, -d) : self.width - max(0, d)], first[max(0, d) : self.width + min(0, d)]]
            )
            for d in (-1, 0, 1)
        ]
        both = np.unique(np.concatenate(pairs, axis=1), axis=1)
        for a, b in both[:, (both > 0).all(axis=0)].T:
            low, high = sorted((self._root(int(a)), self._root(int(b))))
            self.parent[high] = low

    def _root(self, part: int) -> int:
        while self.parent[part] != part:
            self.parent[part] = self.parent[self.parent[part]]
            part = int(self.parent[part])
        return part

    def part_at(self, x: NDArray[np.float32], y: NDArray[np.float32]) -> NDArray[np.int64]:
        """The part at points of the last window's own pixels; 0 where there is none nearby."""
        found = np.zeros(len(x), np.int64)
        for dy in (0, -1, 1):
            for dx in (0, -1, 1):
                column = np.clip(np.rint(x).astype(int) + dx, 0, self.width - 1)
                row = np.clip(np.rint(y).astype(int) + dy, 0, self.labels.shape[0] - 1)
                found = np.where(found > 0, found, self._numbers(self.labels[row, column]))
        return found

    def enclosed(self) -> NDArray[np.bool_]:
        """For every part whether no way leads from it to the canvas edge; part 0 is open."""
        roots = np.array([self._root(p) for p in range(len(self.parent))])
        is_open = np.zeros(len(roots), bool)
        np.logical_or.at(is_open, roots, self.is_open)
        answer: NDArray[np.bool_] = ~is_open[roots]
        answer[0] = False
        return answer

    def areas_px(self) -> tuple[float, float]:
        """Area in px of the open ground and of the enclosed."""
        shut = self.enclosed()
        return float(self.area[~shut].sum()), float(self.area[shut].sum())
