"""Parts of the art that all but vanish on the ordered garment: a navy line on navy."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Alpha, Examined, Finding, InkMeasures, Level, Vanishing

NAME = "garment-contrast"
MEASURES = "the ink whose colour hardly differs from the garment's (CIEDE2000), in mm² and where"
LIMIT_FROM = "`garment` in `limits.toml`; common practice: no standard sets a contrast for prints on cloth"
DO = "say that it may stay, or send these parts in a colour that shows"


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """A query where parts vanish that stand alone; a note where the cloth shows as one of the colours."""
    ink = examined.ink
    gone = ink.vanishing if ink is not None else None
    if ink is None or gone is None or examined.garment is None or gone.ink_mm2 <= 0:
        return
    if gone.area_mm2 < limits.garment.note_mm2 or _is_the_ground(ink, gone):
        return
    share = gone.alone_mm2 / gone.ink_mm2
    is_whole_picture = ink.background is None and ink.alpha in (Alpha.NONE, Alpha.OPAQUE)
    has_box = ink.background is not None and ink.background.is_opaque_canvas
    is_query = share >= limits.garment.query_share and not is_whole_picture and not has_box
    if not is_query and gone.area_mm2 / gone.ink_mm2 < limits.garment.query_share:
        return
    words = wording.vanishing(gone, examined.garment, is_alone=is_query, has_box=has_box)
    yield Finding(
        NAME,
        Level.QUERY if is_query else Level.NOTE,
        *words,
        measured=round(gone.difference, 1),
        limit=limits.garment.query_de,
        unit="ΔE",
        places=() if is_whole_picture else gone.places,
    )


def _is_the_ground(ink: InkMeasures, gone: Vanishing) -> bool:
    """Whether what vanishes is the plain ground, which `background` has told of."""
    ground = ink.background
    if ground is None:
        return False
    return _apart(ground.colour, gone.colour) <= 24


def _apart(one: str, other: str) -> int:
    return max(abs(int(one[k : k + 2], 16) - int(other[k : k + 2], 16)) for k in (1, 3, 5))
