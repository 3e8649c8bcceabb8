"""What the queries page and the shop's folders tell each other: repairs of artwork, and new artwork."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any, Protocol

from tickets.lookup.items import ItemPage

VIEWS = ("before", "marked", "after", "close_before", "close_after")
BEFORE, MARKED, AFTER, CLOSE_BEFORE, CLOSE_AFTER = VIEWS


@dataclass(frozen=True, slots=True)
class Offer:
    """One repair that has something to do. `answers`: the check whose finding it answers, "" where none asks.

    `views`: which of the pictures there are; those of a close look only where the change is small.
    """

    name: str
    says: str
    answers: str
    views: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """The artwork with some repairs, checked again; nothing of it is booked. `print_mm` is its size then."""

    names: tuple[str, ...]
    verdict: str
    findings: tuple[dict[str, Any], ...]
    print_mm: tuple[float, float] | None
    views: tuple[str, ...]


class Mends(Protocol):
    """Repairs of a queried item's artwork, and the way of new artwork into the inbox."""

    def helping(self, item: ItemPage) -> tuple[str, ...]:
        """The repairs that answer what was found, by their names; the artwork is not opened for it."""
        ...

    def offers(self, item: ItemPage) -> tuple[Offer, ...]:
        """What each repair would do by itself, those first that answer a finding.

        Raises ShopProblem `nothing-to-repair` for artwork that cannot be repaired here.
        """
        ...

    def tried(self, item: ItemPage, names: Sequence[str]) -> Tried:
        """These repairs together. Raises ShopProblem `nothing-to-repair`."""
        ...

    def view(self, item: ItemPage, name: str, view: str) -> bytes:
        """A picture (PNG) of one repair, or of several joined by "+"; b"" when there is none."""
        ...

    def release(self, item: ItemPage, names: Sequence[str], by: str, note: str, *, remember: bool) -> str:
        """Repair, book that as a revision, and release what it still asks; returns the sentence.

        Raises ShopProblem as releasing does, `nothing-to-repair`, and `artwork-changed` when the artwork is
        no longer the one that `item` shows.
        """
        ...

    def receive(self, item: ItemPage) -> AbstractContextManager[Callable[[bytes], object]]:
        """Take new artwork piece by piece; when all of it is there it lies in the inbox, to be taken in.

        Raises BadInput `file-too-large`, `file-empty`; SetupProblem `disk-full`, `inbox-gone`.
        """
        ...
