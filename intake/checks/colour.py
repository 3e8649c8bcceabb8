"""How the file keeps its colours, where that may change them in print: mode, profile, depth, spot colours."""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Gamut, Level

NAME = "colour"
MEASURES = (
    "colour mode, depth, profile; the share of the ink in colours outside of the shop's printer profile"
)
LIMIT_FROM = "`gamut` in `limits.toml`; common practice. 8-bit RGB in sRGB is printed as it is seen"
DO = "nothing, if the picture looks right; else export it as sRGB, or choose duller colours"
_ORDINARY = ("RGB", "grey", "indexed")


def check(examined: Examined, limits: Limits, _film: Film) -> Iterable[Finding]:
    """One note that gathers whatever is out of the ordinary, and what the printer cannot make."""
    gamut = examined.artwork.gamut
    if gamut is not None and gamut.share >= limits.gamut.note_share and gamut.places:
        yield _beyond(gamut, limits)
    art = examined.artwork
    said = list(told_by_reader(examined))
    if not said and art.colour not in _ORDINARY:
        said.append(wording.colour_mode(art.colour))
    if art.bits > 8:
        said.append(wording.colour_depth(art.bits))
    if said:
        yield Finding(NAME, Level.NOTE, *wording.colours(said))


def _beyond(gamut: Gamut, limits: Limits) -> Finding:
    """A query from a share on at which the print no longer looks like the picture."""
    is_query = gamut.share >= limits.gamut.query_share
    return Finding(
        NAME,
        Level.QUERY if is_query else Level.NOTE,
        *wording.beyond_printer(gamut, is_query=is_query),
        measured=round(gamut.share, 3),
        limit=limits.gamut.query_share if is_query else limits.gamut.note_share,
        unit="share",
        places=gamut.places,
    )


def told_by_reader(examined: Examined) -> tuple[str, ...]:
    """The reader's remarks that are about colours: they belong here, not under `file`."""
    notes = examined.artwork.notes
    return tuple(note for note in notes if any(word in note for word in wording.COLOUR_WORDS))
