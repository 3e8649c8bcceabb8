"""A halftone, line screen or grain: one finding in place of thousands of thin lines, gaps and dots."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import is_under, outside_screen
from intake.facts import Examined, Finding, InkMeasures, Level, Spot

NAME = "screened"
MEASURES = "whether the art is made of a screen or a grain, and how fine that is"
LIMIT_FROM = "the limits of line, gap and island in `limits.toml`; common practice"
DO = "send it with a coarser screen or solid colours, or say that it may stay"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query when parts of the screen are too fine to hold; else a note."""
    ink = examined.ink
    if ink is None or not ink.screened:
        return
    finest = _finest(ink, limits)
    limit = limits.island.query_mm
    words = wording.screened(is_fine=finest is not None, limit_mm=limit)
    yield Finding(
        NAME,
        Level.NOTE if finest is None else Level.QUERY,
        *words,
        measured=None if finest is None else round(finest, 2),
        limit=limit,
        unit="mm",
        places=ink.screened_places,
    )


def _finest(ink: InkMeasures, limits: Limits) -> float | None:
    """The smallest thing within the screen that is under its limit."""
    kinds: tuple[tuple[tuple[Spot, ...], float], ...] = (
        (ink.thin_lines, limits.line.query_mm),
        (ink.thin_gaps, limits.gap.query_mm),
        (ink.islands, limits.island.query_mm),
    )
    fine = []
    for spots, limit in kinds:
        outside = set(outside_screen(spots, ink))
        fine += [spot.value_mm for spot in spots if spot not in outside and is_under(spot.value_mm, limit)]
    return min(fine, default=None)
