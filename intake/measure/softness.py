"""Which pixels are truly semi-transparent, and which are only the rim of a hard edge."""

from __future__ import annotations

from intake.measure.bytewise import Bytes, at_least, at_most, between, both, count, highest, inverse, lowest

CLEAR, FULL = 8, 247


def semi_mask(cover: Bytes) -> Bytes:
    """255 where coverage is neither clear nor full."""
    return between(cover, CLEAR, FULL)


def soft_mask(cover: Bytes, semi: Bytes) -> Bytes | None:
    """255 on truly semi-transparent pixels; None when there are none.

    A rim is at most two pixels deep at any angle, so it holds no 3 × 3 block; where blurred or resampled rims
    do, full and clear lie within two pixels of each other.
    """
    core = lowest(semi)
    if not count(core):
        return None
    steep = both(at_least(highest(cover, 5), FULL + 1), at_most(lowest(cover, 5), CLEAR - 1))
    return both(highest(both(core, inverse(steep))), semi)
