"""The narrowest gap between printed parts: powder fills what is too narrow."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import is_under, outside_screen
from intake.facts import Examined, Finding, Level

NAME = "gap-width"
MEASURES = "the narrowest gap between printed parts, in mm at print size"
LIMIT_FROM = "`gap.query_mm` in `limits.toml`; common practice, better from the shop's own wash tests"
DO = "widen the gaps or close them, or have the design printed larger"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """One query for all gaps under the limit, narrowest first."""
    ink = examined.ink
    if ink is None:
        return
    limit = limits.gap.query_mm
    narrow = [spot for spot in outside_screen(ink.thin_gaps, ink) if is_under(spot.value_mm, limit)]
    if not narrow:
        return
    narrow.sort(key=lambda spot: spot.value_mm)
    least = narrow[0]
    yield Finding(
        NAME,
        Level.QUERY,
        *wording.thin_gap(least.value_mm, limit, least.uncertainty_mm, len(narrow)),
        measured=round(least.value_mm, 3),
        limit=limit,
        unit="mm",
        places=tuple(spot.place for spot in narrow),
    )
