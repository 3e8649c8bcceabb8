"""Art that the order says arrives mirrored: it is printed as it is."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "mirrored"
MEASURES = "whether the order says that the art arrives mirrored"
LIMIT_FROM = "`items[].mirrored` of the order; it is never guessed from the picture"
DO = "nothing, if the picture in the report is mirrored; else correct the order"


def check(examined: Examined, _limits: Limits, _film: Film) -> Iterable[Finding]:
    """A note, only when the order says so."""
    if examined.mirrored:
        yield Finding(NAME, Level.NOTE, *wording.mirrored())
