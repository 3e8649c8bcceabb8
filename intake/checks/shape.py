"""Ordered width and height against the artwork's own shape."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "shape"
MEASURES = "how far the ordered width ÷ height is from that of the artwork's canvas"
LIMIT_FROM = "`fit.shape_tolerance` in `limits.toml`; common practice: more is visible as a distortion"
DO = "say whether width or height counts; the other follows from the artwork"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query when both were ordered and do not agree with the artwork."""
    wide, high = examined.size.ordered_width_mm, examined.size.ordered_height_mm
    own = examined.artwork.shape
    if wide is None or high is None or own <= 0:
        return
    ratio = wide / high / own
    off = max(ratio, 1 / ratio) - 1
    tolerance = limits.fit.shape_tolerance
    if off > tolerance * (1 + 1e-9):
        words = wording.wrong_shape((wide, high), own, off)
        yield Finding(NAME, Level.QUERY, *words, measured=round(off, 4), limit=tolerance, unit="share")
