"""The front of a run: how far the film is taken in each column, and where a piece would come to lie on it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tickets.film.profiles import COLUMN_MM, Profile, Steps

MOST = 65_535


class Front:
    """How far the film is taken in each column of 1 mm, in steps of 0.25 mm from where pieces may begin."""

    def __init__(self, across_mm: float) -> None:
        self.columns = math.floor(across_mm / COLUMN_MM + 1e-9)
        self.taken: Steps = np.zeros(self.columns, np.uint16)
        self.sums: NDArray[np.int64] = np.zeros(self.columns + 1, np.int64)

    def lay(self, profile: Profile, column: int, step: int) -> None:
        """Take the film that the piece covers."""
        part = self.taken[column : column + profile.columns]
        np.maximum(part, profile.far + np.uint16(step), out=part)
        np.cumsum(self.taken, out=self.sums[1:])


@dataclass(slots=True)
class Fit:
    """Where one piece would come to lie at each column of a front: worked out again only where it changed.

    `steps[x]`: where its box would start if its left edge lay at column x. `lost[x]`: the film that it would
    close off, in columns × steps.
    """

    profile: Profile
    front: Front
    steps: NDArray[np.int32] = field(init=False)
    lost: NDArray[np.int64] = field(init=False)
    _depth: NDArray[Any] = field(init=False)
    _is_flat: bool = field(init=False)
    _deepest: int = field(init=False)
    _near: int = field(init=False)

    def __post_init__(self) -> None:
        near = self.profile.near
        self._deepest = int(near.max(initial=0))
        self._depth = (self._deepest - near).astype(np.uint16)
        self._is_flat = not self._depth.any()
        self._near = int(near.astype(np.int64).sum())
        places = max(0, self.front.columns - self.profile.columns + 1)
        self.steps = np.zeros(places, np.int32)
        self.lost = np.zeros(places, np.int64)
        self.renew(0, self.front.columns)

    def renew(self, first: int, last: int) -> None:
        """Work out anew where columns from `first` up to `last` matter."""
        wide = self.profile.columns
        start, stop = max(0, first - wide + 1), min(len(self.steps), last)
        if start >= stop:
            return
        taken = self.front.taken[start : stop + wide - 1]
        highest = _sliding_most(taken, wide) if self._is_flat else self._touching(taken, wide)
        steps = np.maximum(highest.astype(np.int32) - self._deepest, 0)
        self.steps[start:stop] = steps
        sums = self.front.sums
        below = sums[start + wide : stop + wide] - sums[start:stop]
        self.lost[start:stop] = steps.astype(np.int64) * wide + self._near - below

    def _touching(self, taken: NDArray[Any], wide: int) -> NDArray[Any]:
        depth = self._depth
        if int(taken.max()) + self._deepest > MOST:  # 16 bits are twice as fast, and mostly enough
            taken, depth = taken.astype(np.int32), depth.astype(np.int32)
        windows = np.lib.stride_tricks.sliding_window_view(taken, wide)
        most: NDArray[Any] = (windows + depth).max(axis=1)
        return most


def _sliding_most(values: Steps, wide: int) -> Steps:
    """The largest of each `wide` neighbours, by doubling."""
    reach, most = 1, values
    while reach * 2 <= wide:
        most = np.maximum(most[:-reach], most[reach:])
        reach *= 2
    rest = wide - reach
    return np.maximum(most[: len(most) - rest], most[rest:]) if rest else most
