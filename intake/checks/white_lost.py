"""Colour that loses the white under it to the choke, where no thin line or dot has been told of already."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import is_under, touches
from intake.checks.line_width import thin_lines
from intake.facts import Examined, Finding, InkMeasures, Level, Place

NAME = "white-lost"
MEASURES = "the share of the ink that has no white under it once the white is pulled in"
LIMIT_FROM = "`film.choke_mm` in `shop.toml` and `white.query_share` in `limits.toml`; common practice"
DO = "make these parts wider, or say that it may stay"
_LEAST_SHARE = 0.001
_LEAST_MM2 = 0.5


def check(examined: Examined, limits: Limits, film: Film) -> Iterable[Finding]:
    """A query over the limit, a note under it; silent where lines and dots explain all of it."""
    ink = examined.ink
    if ink is None or ink.ink_area_mm2 <= 0 or film.choke_mm <= 0:
        return
    share = ink.lost_white_area_mm2 / ink.ink_area_mm2
    if share < _LEAST_SHARE or ink.lost_white_area_mm2 < _LEAST_MM2:
        return
    unexplained = [place for place in ink.lost_white_places if not _is_told(place, examined, ink, limits)]
    if not unexplained:
        return
    limit = limits.white.query_share
    yield Finding(
        NAME,
        Level.QUERY if share > limit else Level.NOTE,
        *wording.white_lost(ink.lost_white_area_mm2, share, film.choke_mm),
        measured=round(share, 4),
        limit=limit,
        unit="share",
        places=tuple(unexplained),
    )


def _is_told(place: Place, examined: Examined, ink: InkMeasures, limits: Limits) -> bool:
    """Whether a thin line, a dot or the screen has been found at this place."""
    if ink.screened and not ink.screened_places:
        return True
    dots = [spot.place for spot in ink.islands if is_under(spot.value_mm, limits.island.query_mm)]
    lines = [spot.place for spot in thin_lines(examined, limits.line.query_mm)]
    return any(touches(place, told) for told in (*ink.screened_places, *dots, *lines))
