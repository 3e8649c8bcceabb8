"""Whether a picture's detail is as fine as its pixels, or the picture was enlarged or is out of focus."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import effective_ppi
from intake.facts import Detail, Examined, Finding, Level

NAME = "detail"
MEASURES = "the resolution that the picture's detail really supports, from its sharpest edges, in ppi"
LIMIT_FROM = "`resolution.query_ppi` and `detail.least_factor` in `limits.toml`; common practice"
DO = "send the picture as it was before it was enlarged, or the drawing that it was made from"
_SURE = ("enlarged", "blocks")


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query where pixels enough hold too little detail; a note where a photo is merely soft."""
    detail = examined.ink.detail if examined.ink is not None else None
    ppi = effective_ppi(examined)
    if detail is None or ppi is None or not detail.kind:
        return
    limit = limits.resolution.query_ppi
    has_pixels = min(ppi) + limits.resolution.rounding_ppi >= limit
    if not has_pixels or not _is_poor(detail, limits):
        return  # too few pixels are told of by `resolution`: it has the same cause
    is_query = detail.kind in _SURE or not detail.is_photo
    yield Finding(
        NAME,
        Level.QUERY if is_query else Level.NOTE,
        *wording.little_detail(detail, min(ppi), limit),
        measured=round(detail.ppi),
        limit=limit,
        unit="ppi",
        places=detail.places[:1],
    )


def _is_poor(detail: Detail, limits: Limits) -> bool:
    """Whether even the upper end of what was measured is under the limit."""
    surely = detail.ppi * (1 + detail.error)
    return detail.factor >= limits.detail.least_factor and surely < limits.resolution.query_ppi
