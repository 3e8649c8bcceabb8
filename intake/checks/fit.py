"""Whether the print fits on the film, as it is or turned by a quarter."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "fit"
MEASURES = "width and height of the print against the film"
LIMIT_FROM = "`film.printable_mm` and `film.longest_mm` in `shop.toml`: the shop's own film and printer"
DO = "order it smaller, or in parts"
_ROUNDING_MM = 0.05


def check(examined: Examined, _limits: Limits, film: Film) -> Iterable[Finding]:
    """A refusal when it fits neither way or is too long; a note when it fits only turned."""
    wide, high = examined.size.width_mm, examined.size.height_mm
    narrow, long = min(wide, high), max(wide, high)
    printable = film.printable_mm + _ROUNDING_MM
    if narrow > printable:
        box = examined.ink.ink_box if examined.ink is not None else None
        trimmed_fits = box is not None and min(box.width_mm, box.height_mm) <= film.printable_mm
        words = wording.too_wide(wide, high, film.printable_mm, ink_would_fit=trimmed_fits)
        yield _finding(Level.REFUSE, words, narrow, film.printable_mm)
    elif long > film.longest_mm + _ROUNDING_MM:
        yield _finding(Level.REFUSE, wording.too_long(long, film.longest_mm), long, film.longest_mm)
    elif wide > printable:
        yield _finding(Level.NOTE, wording.laid_turned(wide, film.printable_mm), wide, film.printable_mm)


def _finding(level: Level, words: wording.Words, measured: float, limit: float) -> Finding:
    return Finding(NAME, level, *words, measured=round(measured, 1), limit=limit, unit="mm")
