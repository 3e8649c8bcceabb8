"""Art drawn without anti-aliasing: its steps are smoothed a little before widths are read off it."""

from __future__ import annotations

from intake.measure.bytewise import Bytes, count, highest, inverse, smoothed, taken_where
from intake.measure.softness import semi_mask

NEARBY = 7  # px square: where no semi-covered pixel lies in it, edges are crisp


def without_steps(cover: Bytes) -> tuple[Bytes, Bytes]:
    """Coverage, smoothed by a pixel where edges have no semi-covered rim, and 255 where that is so.

    A chord across a smoothed edge holds the same coverage, but lines of a pixel or two no longer waver by
    half their width as they pass from row to row. Each pixel is decided from those around it alone.
    """
    crisp = inverse(highest(semi_mask(cover), NEARBY))
    return (taken_where(crisp, smoothed(cover), cover) if count(crisp) else cover), crisp
