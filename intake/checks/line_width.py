"""The thinnest printed line: measured in the picture, and taken from the strokes of a drawing."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import drawn_lines, is_under, outside_screen, touches
from intake.facts import Examined, Finding, Level, Spot

NAME = "line-width"
MEASURES = "the thinnest line that would be printed, in mm at print size"
LIMIT_FROM = "`line.query_mm` in `limits.toml`; common practice, better from the shop's own wash tests"
DO = "make the lines thicker, or have the design printed larger"
_MOST_PLACES = 40
_SAME_MM = 0.05
_LONG_TAPER_MM = 1.0


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """One query for all lines under the limit, thinnest first; else a note for ends that run to a point."""
    limit = limits.line.query_mm
    thin = thin_lines(examined, limit)
    if thin:
        yield _query(thin, limit)
    elif examined.ink is not None:
        yield from _tapers(outside_screen(examined.ink.tapers, examined.ink), limit)


def thin_lines(examined: Examined, limit_mm: float) -> list[Spot]:
    """All lines under the limit, thinnest first; a stroke that the picture shows too counts once."""
    drawn = [line for line in drawn_lines(examined) if is_under(line.value_mm, limit_mm)]
    ink = examined.ink
    seen = outside_screen(ink.thin_lines, ink) if ink is not None else ()
    shown = [spot for spot in seen if is_under(spot.value_mm, limit_mm) and not _is_drawn(spot, drawn)]
    return sorted([*drawn, *shown], key=lambda spot: spot.value_mm)


def _is_drawn(spot: Spot, drawn: list[Spot]) -> bool:
    """Whether a spot of the picture is one of the drawn lines; a renderer widens what is under a pixel."""
    most = spot.value_mm + _SAME_MM
    return any(line.value_mm <= most and touches(spot.place, line.place) for line in drawn)


def _query(thin: list[Spot], limit: float) -> Finding:
    thinnest = thin[0]
    words = (
        wording.hairline(limit, len(thin))
        if thinnest.value_mm == 0
        else wording.thin_line(thinnest.value_mm, limit, thinnest.uncertainty_mm, len(thin))
    )
    places = tuple(spot.place for spot in thin[:_MOST_PLACES])
    measured = round(thinnest.value_mm, 3)
    return Finding(NAME, Level.QUERY, *words, measured=measured, limit=limit, unit="mm", places=places)


def _tapers(tapers: tuple[Spot, ...], limit: float) -> Iterable[Finding]:
    long = [spot for spot in tapers if spot.length_mm >= _LONG_TAPER_MM and is_under(spot.value_mm, limit)]
    if long:
        least = min(spot.value_mm for spot in long)
        yield Finding(
            NAME,
            Level.NOTE,
            *wording.tapering_line(least, limit),
            measured=round(least, 3),
            limit=limit,
            unit="mm",
            places=tuple(spot.place for spot in long[:_MOST_PLACES]),
        )
