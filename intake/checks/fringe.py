"""A light or dark rim that cutting out has left round the art."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "fringe"
MEASURES = "the share of the rim of cut-out art that holds some of an old white or black ground"
LIMIT_FROM = "`fringe.query_share` in `limits.toml`; common practice"
DO = "cut it out again without the rim, or say that it may stay"
_LIGHT, _DARK = 0.6, 0.2


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query for a rim; a note where the garment is as light or as dark as the rim."""
    fringe = examined.ink.fringe if examined.ink is not None else None
    if fringe is None or fringe.share < limits.fringe.query_share:
        return
    is_hidden = _is_hidden(fringe.ground, examined.garment)
    yield Finding(
        NAME,
        Level.NOTE if is_hidden else Level.QUERY,
        *wording.rim(fringe.ground, fringe.share, is_hidden=is_hidden),
        measured=round(fringe.share, 2),
        limit=limits.fringe.query_share,
        unit="share",
        places=fringe.places,
    )


def _is_hidden(ground: str, garment: str | None) -> bool:
    """Whether the rim is about as light as the garment."""
    if garment is None:
        return False
    red, green, blue = (int(garment[k : k + 2], 16) / 255 for k in (1, 3, 5))
    lightness = 0.3 * red + 0.6 * green + 0.1 * blue
    return lightness >= _LIGHT if ground == "white" else lightness <= _DARK
