"""Semi-transparent ink: soft shadows, glows and faded edges, which get white under them."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "soft"
MEASURES = "the share of the ink that is truly semi-transparent; anti-aliased rims are not counted"
LIMIT_FROM = "`soft.query_share` in `limits.toml`; common practice"
DO = "send it with solid colours or a fade made of dots, or say that it may stay"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query when more of the ink than the limit is soft."""
    ink = examined.ink
    limit = limits.soft.query_share
    if ink is None or ink.ink_box is None or round(ink.soft_share, 3) <= limit:
        return
    yield Finding(
        NAME,
        Level.QUERY,
        *wording.soft_parts(ink.soft_share, limit),
        measured=round(ink.soft_share, 4),
        limit=limit,
        unit="share",
        places=ink.soft_places,
    )
