"""Live text of a document: fonts that do not come with it, and letters too small to read."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.checks.at_size import MM_PER_POINT, page_scale, to_place
from intake.facts import Examined, Finding, Level, LiveText

NAME = "text"
MEASURES = (
    "fonts that a PDF does not carry with it; the height of its lower-case letters, in mm at print size"
)
LIMIT_FROM = "`text.query_x_mm` and `text.query_pt` in `limits.toml`; common practice"
DO = "embed the fonts or turn text into outlines; set small text larger"
_MOST_PLACES = 40


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """One query for missing fonts, small letters, or both."""
    told = examined.artwork.extra.get("fonts_not_embedded")
    fonts = [str(name) for name in told] if isinstance(told, list) else []
    scale = page_scale(examined)
    down = scale[1] if scale is not None else 1.0
    small = [text for text in examined.artwork.texts if _is_small(text, down, limits)]
    if not fonts and not small:
        return
    small.sort(key=lambda text: text.x_height_pt or text.size_pt)
    least = small[0] if small else None
    x_mm = least.x_height_pt * MM_PER_POINT * down if least is not None and least.x_height_pt else None
    size_pt = least.size_pt * down if least is not None else None
    limit = limits.text.query_x_mm if x_mm is not None else limits.text.query_pt
    yield Finding(
        NAME,
        Level.QUERY,
        *wording.live_text(fonts, x_mm, size_pt, limit),
        measured=None if size_pt is None else round(x_mm if x_mm is not None else size_pt, 2),
        limit=None if size_pt is None else limit,
        unit=None if size_pt is None else "mm" if x_mm is not None else "pt",
        places=tuple(to_place(text.place_pt, scale or (1.0, 1.0)) for text in small[:_MOST_PLACES]),
    )


def _is_small(text: LiveText, scale: float, limits: Limits) -> bool:
    if text.x_height_pt:
        return round(text.x_height_pt * MM_PER_POINT * scale, 2) < limits.text.query_x_mm
    return round(text.size_pt * scale, 1) < limits.text.query_pt
