"""One rule a file: each looks at the facts of an artwork and says what it finds; listed here in order."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from config.settings import Film, Limits
from intake.checks import (
    background,
    colour,
    detail,
    empty,
    file,
    fit,
    fringe,
    gap_width,
    garment_contrast,
    islands,
    line_width,
    margins,
    mirrored,
    pages,
    resolution,
    screened,
    shape,
    soft,
    specks,
    text,
    white_lost,
)
from intake.checks.at_size import effective_ppi
from intake.checks.causes import causes_only
from intake.facts import Examined, Finding, Level

__all__ = ["CHECKS", "Check", "effective_ppi", "judge"]


class Check(Protocol):
    """One rule. `NAME` is public; the other lines are its row in the README."""

    NAME: str
    MEASURES: str
    LIMIT_FROM: str
    DO: str

    def check(self, examined: Examined, limits: Limits, film: Film) -> Iterable[Finding]:
        """What the rule finds; nothing when it does not apply."""
        ...


CHECKS: tuple[Check, ...] = (
    file,
    pages,
    empty,
    fit,
    shape,
    margins,
    resolution,
    background,
    soft,
    screened,
    line_width,
    gap_width,
    islands,
    white_lost,
    detail,
    specks,
    fringe,
    garment_contrast,
    text,
    colour,
    mirrored,
)
_SERIOUSNESS = {Level.REFUSE: 0, Level.QUERY: 1, Level.NOTE: 2}


def judge(examined: Examined, limits: Limits, film: Film) -> tuple[Finding, ...]:
    """All findings about one artwork at one print size: the most serious first, else in the order of CHECKS.

    Pure: the same facts always give the same findings. Findings of one cause are one finding.
    """
    found = [finding for rule in CHECKS for finding in rule.check(examined, limits, film)]
    return tuple(sorted(causes_only(found), key=lambda finding: _SERIOUSNESS[finding.level]))
