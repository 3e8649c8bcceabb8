"""Where to look: one seed a small cell on the middle of everything thin, from a distance field."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import (
    Bytes,
    above,
    at_least,
    at_most,
    both,
    city_block_distance,
    halved,
    higher_of,
    highest,
    lower_of,
    not_below,
)
from intake.measure.scale import Scale, Side
from intake.measure.windows import Window

FAINT = 64  # coverage from which a pixel can belong to a thin line: a 0.1 mm line at 150 ppi reaches no more


@dataclass(frozen=True, slots=True)
class Seeds:
    """Places in a window, in its own padded pixels, and how many ridge points stand for them."""

    x: NDArray[np.float32]
    y: NDArray[np.float32]

    def __len__(self) -> int:
        return len(self.x)


def thin_mask(cover: Bytes, faint: int = FAINT) -> Bytes:
    """255 where a pixel is covered, against its own surroundings.

    A faint line counts from a quarter of full coverage on, a pixel beside full ink from half on: so that
    neither a thin line is lost nor a thin gap bridged.
    """
    return at_least(cover, not_below(halved(highest(cover)), faint))


def ridge_of(mask: Bytes, widest_px: float) -> Bytes:
    """255 on the middle of what may be thinner than `widest_px` (it proposes, no more).

    A pixel is on the middle when in some direction the clear is nearer two pixels on, both ways: that holds
    on strips, in tips and on the saddle of a neck, where the distance itself has no maximum.
    """
    far = city_block_distance(mask)
    ridge = np.zeros_like(mask)
    middle = far[2:-2, 2:-2]
    lowest = np.full_like(middle, 255)
    for dy, dx in ((0, 2), (2, 0), (2, 2), (2, -2)):
        one = far[2 + dy : far.shape[0] - 2 + dy, 2 + dx : far.shape[1] - 2 + dx]
        other = far[2 - dy : far.shape[0] - 2 - dy, 2 - dx : far.shape[1] - 2 - dx]
        lowest = lower_of(lowest, higher_of(one, other))
    ridge[2:-2, 2:-2] = both(above(middle, lowest), at_most(middle, min(254.0, 0.71 * widest_px + 1.5)))
    return ridge


def points_of(ridge: Bytes) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Rows and columns of the points, read eight pixels at a time because most of the picture has none."""
    words = np.flatnonzero(ridge.reshape(-1).view(np.uint64))
    at = (words[:, None] * 8 + np.arange(8)).reshape(-1)
    at = at[ridge.reshape(-1)[at] != 0]
    return np.divmod(at, ridge.shape[1])


def seeds_of(cover: Bytes, window: Window, side: Side, scale: Scale) -> Seeds:
    """The thinnest ridge point of every cell, of those in the window's own rows and columns."""
    ridge = ridge_of(thin_mask(cover), side.search_px)
    pad, own = window.pad, window.bottom - window.top
    ridge[:pad] = 0
    ridge[pad + own :] = 0
    y, x = points_of(ridge)
    inside = (x >= pad) & (x < pad + window.width)
    y, x = y[inside], x[inside]
    if not len(x):
        return Seeds(np.empty(0, np.float32), np.empty(0, np.float32))
    mass = cv2.boxFilter(cover, -1, (5, 5))[y, x].astype(np.int64)
    cell = ((y - pad + window.top) // scale.cell_px << 32) + (x - pad) // scale.cell_px
    order = np.lexsort((mass, cell))
    first = np.ones(len(order), bool)
    first[1:] = cell[order][1:] != cell[order][:-1]
    keep = order[first]
    return Seeds(x[keep].astype(np.float32), y[keep].astype(np.float32))
