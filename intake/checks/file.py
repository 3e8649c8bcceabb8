"""Remarks of the reader: what could not be told about the file, or was done while reading it.

A file that cannot be opened at all is refused under the same name before any check is asked.
"""

from __future__ import annotations

from collections.abc import Iterable

from config.settings import Film, Limits
from intake.checks import wording
from intake.facts import Examined, Finding, Level

NAME = "file"
MEASURES = "whether the file can be read at all, and anything odd about it"
LIMIT_FROM = "no limit: unreadable files are refused, oddities are notes"
DO = "send the file again, exported from the program that it was made in"


def check(examined: Examined, _limits: Limits, _film: Film) -> Iterable[Finding]:
    """A note for each remark of reader and measurer."""
    measured = examined.ink.notes if examined.ink is not None else ()
    elsewhere = wording.COLOUR_WORDS + wording.FONT_WORDS  # told by `colour` and `text`
    for note in dict.fromkeys((*examined.artwork.notes, *measured)):
        if any(words in note for words in elsewhere):
            continue
        yield Finding(NAME, Level.NOTE, *wording.remark(note))
