"""Which file does an order mean? Names are compared as they are, then composed, then with case folded."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from intake.naming import composed, folded

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Match(Generic[T]):
    """What was found for a name: one thing, nothing, or several that it could mean."""

    one: T | None
    several: tuple[T, ...] = ()


def match_name(name: str, candidates: Sequence[T], name_of: Callable[[T], str]) -> Match[T]:
    """The candidate of this name. A file named exactly so wins over one that is only alike.

    Macs write names decomposed, some file systems fold case; but where two files could be meant, a person has
    to say which (hot-folder notes, rows 50 and 51).
    """
    for alike in (_same, composed, folded):
        wanted = alike(name)
        found = [c for c in candidates if alike(name_of(c)) == wanted]
        if len(found) == 1:
            return Match(found[0])
        if found:
            return Match(None, tuple(found))
    return Match(None)


def _same(name: str) -> str:
    return name
