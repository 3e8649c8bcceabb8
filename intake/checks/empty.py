"""Artwork on which nothing at all would be printed."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "empty"
MEASURES = "whether there is any ink"
LIMIT_FROM = "any ink at all"
DO = "look at the file on a coloured background and send it again"


def check(examined: Examined, _limits: Limits, _film: Film) -> Iterable[Finding]:
    """A refusal when nothing is inked."""
    if examined.ink is not None and examined.ink.ink_box is None:
        yield Finding(NAME, Level.REFUSE, *wording.nothing_inked(), measured=0.0, unit="mm²")
