"""Which findings are only what another finding brings about: the customer is asked once, about the cause."""

from __future__ import annotations

from collections.abc import Sequence

from intake.checks.at_size import touches
from intake.facts import Finding, Level, Place

_NEAR_MM = 0.5
# Letters too small to read are also thin lines, narrow gaps and small dots.
_OF_SMALL_TEXT = {"line-width", "gap-width", "islands", "specks", "white-lost", "soft"}
# Enlarging makes edges soft; printing the picture as it was before mends both.
_OF_ENLARGING = {"soft"}


def causes_only(found: Sequence[Finding]) -> list[Finding]:
    """The findings without those that another one explains altogether."""
    text = next((f for f in found if f.check == "text" and f.places), None)
    enlarged = any(f.check == "detail" and f.level == Level.QUERY for f in found)
    return [
        finding
        for finding in found
        if not (enlarged and finding.check in _OF_ENLARGING)
        and not (
            text is not None and finding.check in _OF_SMALL_TEXT and _lies_in(finding.places, text.places)
        )
    ]


def _lies_in(places: tuple[Place, ...], causes: tuple[Place, ...]) -> bool:
    """Whether every one of the places lies at one of the causes; places that are cut off may hide others."""
    return bool(places) and all(any(touches(place, cause, _NEAR_MM) for cause in causes) for place in places)
