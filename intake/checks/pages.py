"""Several pages in a file, and an order that does not say which of them it means."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "pages"
MEASURES = "how many pages the file has when the order names none"
LIMIT_FROM = "1 page, or pages named in the order: anything else is a question"
DO = "say in the order which pages are to be printed"


def check(examined: Examined, _limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query when there are several pages and none is named."""
    art = examined.artwork
    if art.pages > 1 and not examined.page_named:
        words = wording.several_pages(art.pages, art.page, art.kind)
        yield Finding(NAME, Level.QUERY, *words, measured=art.pages, limit=1, unit="pages")
