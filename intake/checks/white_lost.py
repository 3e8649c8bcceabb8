"""Colour that loses the white under it to the choke, where no thin line or dot has been told of already."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import is_under, touches
from intake.checks.line_width import thin_lines
from intake.checks.specks import stray_places
from intake.facts import Examined, Finding, InkMeasures, Level, Place

NAME = "white-lost"
MEASURES = "the share of the ink that has no white under it once the white is pulled in"
LIMIT_FROM = "`film.choke_mm` in `shop.toml` and `white` in `limits.toml`; common practice"
DO = "make these parts wider, or say that it may stay"
_LEAST_MM2 = 0.5
_ROUNDING_MM = 0.005


def check(examined: Examined, limits: Limits, film: Film) -> Iterable[Finding]:
    """A query over one share, a note over another; silent where thin lines and dots explain it."""
    ink = examined.ink
    if ink is None or ink.ink_area_mm2 <= 0 or film.choke_mm <= 0:
        return
    share = ink.lost_white_area_mm2 / ink.ink_area_mm2
    if share <= limits.white.note_share or ink.lost_white_area_mm2 < _LEAST_MM2:
        return
    thin = _thin_places(examined, ink, limits)
    # What loses all its white is under twice the choke: where that is under the limit of lines anyway, lines
    # have told of it, beyond the places that their lists hold too.
    if thin and 2 * film.choke_mm <= limits.line.query_mm + _ROUNDING_MM:
        return
    unexplained = [place for place in ink.lost_white_places if not any(touches(place, told) for told in thin)]
    if not unexplained:
        return
    limit = limits.white.query_share
    is_query = share > limit
    yield Finding(
        NAME,
        Level.QUERY if is_query else Level.NOTE,
        *wording.white_lost(ink.lost_white_area_mm2, share, film.choke_mm),
        measured=round(share, 4),
        limit=limit if is_query else limits.white.note_share,
        unit="share",
        places=tuple(unexplained),
    )


def _thin_places(examined: Examined, ink: InkMeasures, limits: Limits) -> tuple[Place, ...]:
    """Where thin lines, dots or a screen have been told of."""
    strays = stray_places(examined)
    dots = (spot.place for spot in ink.islands if is_under(spot.value_mm, limits.island.query_mm))
    lines = (spot.place for spot in thin_lines(examined, limits.line.query_mm))
    screen = (ink.screened_places or (_canvas(examined),)) if ink.screened else ()
    return (*screen, *strays, *dots, *lines)


def _canvas(examined: Examined) -> Place:
    """The whole print as a place."""
    return Place(0.0, 0.0, examined.size.width_mm, examined.size.height_mm)
