"""A plain ground behind the art that would be printed as a box; a photo that fills its canvas is none."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Alpha, Background, Examined, Finding, Level

NAME = "background"
MEASURES = "the share of the picture that a plain white, black or coloured ground behind the art covers"
LIMIT_FROM = "`background.query_share` in `limits.toml`; common practice"
DO = "send it with a transparent background, or say that the box is meant"
_SURE = 0.75


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query for a box; a note for an opaque picture without one."""
    ink = examined.ink
    if ink is None or ink.ink_box is None:
        return
    ground = ink.background
    if ground is not None and ground.share >= limits.background.query_share:
        yield _box(ground, limits.background.query_share)
    elif ink.alpha in (Alpha.NONE, Alpha.OPAQUE):
        yield Finding(NAME, Level.NOTE, *wording.full_rectangle())


def _box(ground: Background, limit: float) -> Finding:
    words = wording.background_box(
        wording.colour_name(ground.colour),
        ground.share,
        sure=ground.confidence >= _SURE,
        has_enclosed=ground.enclosed_share > 0.001,
    )
    return Finding(
        NAME,
        Level.QUERY,
        *words,
        measured=round(ground.share, 3),
        limit=limit,
        unit="share",
        places=ground.places,
    )
