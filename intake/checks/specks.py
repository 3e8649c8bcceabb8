"""Stray dots and faint dirt far from the art: most likely not meant, and too small to hold."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level, Place

NAME = "specks"
MEASURES = "stray dots of ink, however faint, that lie alone, and their size in mm at print size"
LIMIT_FROM = "`speck.query_mm` in `limits.toml`; common practice"
DO = "remove them, or say that they are meant"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """One query for all stray dots; dots beside the art are for `islands`, screens for `screened`."""
    ink = examined.ink
    if ink is None or ink.specks is None or ink.screened:
        return
    specks = ink.specks
    yield Finding(
        NAME,
        Level.QUERY,
        *wording.stray_dots(specks.count, specks.spots[-1].value_mm, specks.area_mm2),
        measured=round(specks.spots[0].value_mm, 3),
        limit=limits.speck.query_mm,
        unit="mm",
        places=stray_places(examined),
    )


def stray_places(examined: Examined) -> tuple[Place, ...]:
    """Where stray dots have been told of."""
    ink = examined.ink
    if ink is None or ink.specks is None or ink.screened:
        return ()
    return tuple(spot.place for spot in ink.specks.spots)
