"""Separate dots too small to hold their powder."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import is_under, outside_screen, touches
from intake.checks.specks import stray_places
from intake.facts import Examined, Finding, Level

NAME = "islands"
MEASURES = "separate dots of ink and their size, in mm at print size"
LIMIT_FROM = "`island.query_mm` in `limits.toml`; common practice, better from the shop's own wash tests"
DO = "remove such dots, make them larger, or join them to the art"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """One query for all dots under the limit, smallest first."""
    ink = examined.ink
    if ink is None:
        return
    limit = limits.island.query_mm
    strays = stray_places(examined)
    small = [
        spot
        for spot in outside_screen(ink.islands, ink)
        if is_under(spot.value_mm, limit) and not any(touches(spot.place, stray, 0.0) for stray in strays)
    ]
    if not small:
        return
    small.sort(key=lambda spot: spot.value_mm)
    # The list of places is cut off somewhere; the count is not, unless some of it belongs to a screen.
    elsewhere = ink.specks.solid_count if strays and ink.specks is not None else 0
    count = len(small) if ink.screened else max(len(small), ink.island_count - elsewhere)
    yield Finding(
        NAME,
        Level.QUERY,
        *wording.small_islands(small[0].value_mm, limit, count),
        measured=round(small[0].value_mm, 3),
        limit=limit,
        unit="mm",
        places=tuple(spot.place for spot in small),
    )
