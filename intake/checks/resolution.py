"""Effective resolution at print size: pixels against printed inches, never the tag that the file stores."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import ImageAtSize, effective_ppi, images_at_size
from intake.facts import Examined, Finding, Level

NAME = "resolution"
MEASURES = "pixels an inch at print size in the worse direction; of a drawing, its worst painted picture"
LIMIT_FROM = "`resolution.note_ppi` and `resolution.query_ppi` in `limits.toml`; common practice"
DO = "send the picture with more pixels, or have it printed smaller"
_MOST_PLACES = 40
_MASKS = ("soft mask", "stencil")


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A note or a query, never a refusal: what looks poor is for the customer to decide."""
    ppi = effective_ppi(examined)
    is_empty = examined.ink is not None and examined.ink.ink_box is None
    if ppi is None or is_empty:
        return
    least = min(ppi)
    level, limit = _level(least, limits)
    if level is None:
        return
    images = () if examined.artwork.pixels is not None else images_at_size(examined)
    what = _what(images) if images else wording.whole_art()
    words = wording.low_resolution(ppi, limit, shows=level == Level.QUERY, what=what)
    poor = [image.place for image in images if image.worst_ppi + limits.resolution.rounding_ppi < limit]
    yield Finding(
        NAME,
        level,
        *words,
        measured=round(least, 1),
        limit=limit,
        unit="ppi",
        places=tuple(poor[:_MOST_PLACES]),
    )


def _level(least: float, limits: Limits) -> tuple[Level | None, float]:
    told = limits.resolution
    if least + told.rounding_ppi < told.query_ppi:
        return Level.QUERY, told.query_ppi
    if least + told.rounding_ppi < told.note_ppi:
        return Level.NOTE, told.note_ppi
    return None, told.note_ppi


def _what(images: tuple[ImageAtSize, ...]) -> str:
    worst = images[0]
    if worst.kind in _MASKS:
        return wording.placed_mask(worst.pixels)
    mask = next((one for one in images if one.kind in _MASKS and one.place == worst.place), None)
    return wording.placed_image(worst.pixels, mask.worst_ppi if mask else None)
