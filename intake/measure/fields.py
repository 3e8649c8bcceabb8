"""Distance fields and the middles of what is thin."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import (
    Bytes,
    above,
    at_most,
    both,
    higher_of,
    highest,
    lower_of,
    no_less,
    not_below,
    scaled,
)

FAINT = 64  # coverage from which a pixel can belong to a thin line: a 0.1 mm line at 150 ppi reaches no more


def thin_mask(cover: Bytes, faint: int = FAINT, share: float = 0.5) -> Bytes:
    """255 where a pixel is covered, against its own surroundings.

    A faint line counts from a quarter of full coverage on, a pixel beside full ink from half on (or another
    share): so that neither a thin line is lost nor a thin gap bridged.
    """
    return no_less(cover, not_below(scaled(highest(cover), share), faint))


def ridge_of(far: Bytes, widest_px: float) -> Bytes:
    """Of city-block distances: 255 on the middle of what may be thinner than `widest_px`: a proposal.

    A pixel is on the middle when along its row or its column the clear is nearer two pixels on, both ways:
    that holds on strips at any angle (the city-block distance falls by one a pixel along the axis that
    crosses them more steeply), in tips, and on the saddle of a neck, where the distance has no maximum. On
    the saddle of a short neck that lies askew it holds only along the diagonals, one pixel on.
    """
    middle = far[2:-2, 2:-2]
    beside = lower_of(higher_of(far[2:-2, :-4], far[2:-2, 4:]), higher_of(far[:-4, 2:-2], far[4:, 2:-2]))
    askew = lower_of(higher_of(far[1:-3, 1:-3], far[3:-1, 3:-1]), higher_of(far[1:-3, 3:-1], far[3:-1, 1:-3]))
    beside = lower_of(beside, askew)
    ridge = np.zeros_like(far)
    ridge[2:-2, 2:-2] = both(above(middle, beside), at_most(middle, min(254.0, 0.71 * widest_px + 1.5)))
    return ridge


def saddles(far: Bytes, y: NDArray[np.int64], x: NDArray[np.int64]) -> NDArray[np.int64]:
    """How much farther the clear is on both sides along the ridge than at each of its points: ≥ 0 at a neck.

    `far` must reach two pixels beyond the points.
    """
    wide = far.shape[1]
    flat, at = np.ascontiguousarray(far).reshape(-1), y * wide + x
    here = flat.take(at).astype(np.int16)
    best = np.full(len(at), -255, np.int16)
    for across, along in ((2, 2 * wide), (2 * wide, 2), (wide + 1, wide - 1), (wide - 1, wide + 1)):
        beside = np.maximum(flat.take(at + across), flat.take(at - across))
        further = np.minimum(flat.take(at + along), flat.take(at - along))
        rise = np.subtract(further, here, dtype=np.int16)
        np.maximum(best, rise, out=best, where=beside < here)
    return best.astype(np.int64)


def points_of(ridge: Bytes) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Rows and columns of what is not 0, read eight pixels at a time because most of it is."""
    wide = -(-ridge.shape[1] // 8) * 8
    padded = np.zeros((ridge.shape[0], wide), np.uint8)
    padded[:, : ridge.shape[1]] = ridge
    flat = padded.reshape(-1)
    words = np.flatnonzero(flat.view(np.uint64))
    at = (words[:, None] * 8 + np.arange(8)).reshape(-1)
    at = at[flat.take(at) != 0]
    row = at // wide
    return row, at - row * wide
