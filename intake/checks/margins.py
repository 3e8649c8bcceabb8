"""Empty margins of the canvas that make the art itself smaller than what was ordered."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level, Place

NAME = "margins"
MEASURES = "the true width (or height, when that was ordered) of the ink against the ordered size"
LIMIT_FROM = "`fit.narrow_tolerance` in `limits.toml`; common practice"
DO = "let the shop trim the margin, or confirm the smaller size"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query that offers to trim: one finding, for the direction that lost the greater share."""
    box = examined.ink.ink_box if examined.ink is not None else None
    if box is None:
        return
    ink_mm, canvas_mm, way = max(_ways(examined, box), key=lambda one: 1 - one[0] / one[1])
    if 1 - ink_mm / canvas_mm <= limits.fit.narrow_tolerance + 1e-9:
        return
    yield Finding(
        NAME,
        Level.QUERY,
        *wording.empty_margins(ink_mm, canvas_mm, way),
        measured=round(ink_mm, 1),
        limit=round(canvas_mm * (1 - limits.fit.narrow_tolerance), 1),
        unit="mm",
        places=(box,),
    )


def _ways(examined: Examined, box: Place) -> list[tuple[float, float, str]]:
    """(ink, canvas, word) for the direction that was ordered; the width when neither was."""
    size = examined.size
    across = (box.width_mm, size.width_mm, "wide")
    down = (box.height_mm, size.height_mm, "high")
    if size.ordered_height_mm is None:
        return [across]
    return [down] if size.ordered_width_mm is None else [across, down]
