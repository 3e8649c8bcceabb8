"""How the file keeps its colours, where that may change them in print: mode, profile, depth, spot colours."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "colour"
MEASURES = "colour mode, depth and profile of the file"
LIMIT_FROM = "no limit: 8-bit RGB in sRGB is printed as it is seen; common practice"
DO = "nothing, if the picture looks right; else export it as sRGB"
_ORDINARY = ("RGB", "grey", "indexed")


def check(examined: Examined, _limits: Limits, _film: Film) -> Iterable[Finding]:
    """One note that gathers whatever is out of the ordinary."""
    art = examined.artwork
    said = list(told_by_reader(examined))
    if not said and art.colour not in _ORDINARY:
        said.append(wording.colour_mode(art.colour))
    if art.bits > 8:
        said.append(wording.colour_depth(art.bits))
    if said:
        yield Finding(NAME, Level.NOTE, *wording.colours(said))


def told_by_reader(examined: Examined) -> tuple[str, ...]:
    """The reader's remarks that are about colours: they belong here, not under `file`."""
    notes = examined.artwork.notes
    return tuple(note for note in notes if any(word in note for word in wording.COLOUR_WORDS))
