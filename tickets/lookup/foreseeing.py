"""Hands the forecast to whoever answers: asked once, and only when an order that was found is in work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Protocol

from config.settings import Settings
from tickets.forecast.changes import Hands, Help
from tickets.forecast.expected import Expected
from tickets.lookup.shelf import BooksMark, Shelf, booked_since, forecast_settings, read_shelved
from tickets.store import Store

TOLD_AGE = timedelta(minutes=1)  # what is younger is as good as new
_AN_INSTANT = timedelta(seconds=1)
SHELF_AGE = timedelta(minutes=10)  # what is older is not told from the shelf: a new one is waited for


class Helps(Protocol):
    """The orders at risk, the soonest due first, and what helps those of them that were looked at."""

    @property
    def at_risk(self) -> Mapping[str, datetime]:
        """Their due times."""
        ...

    @property
    def helped(self) -> Sequence[str]:
        """Those of them that are looked at."""
        ...

    @property
    def hands(self) -> Hands | None:
        """Where one more pair of hands helps most of them."""
        ...

    def help_for(self, order: str) -> Help | None:
        """What helps most, looked at now if need be; None when nothing does."""
        ...

    def known(self, order: str) -> Help | None:
        """The same, if it was looked at already."""
        ...

    def is_known(self, order: str) -> bool:
        """Whether it was looked at already."""
        ...

    def look_at_all(self) -> None:
        """Look at all of them now."""
        ...


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What the forecast says of every order in work, and what helps those that may be late.

    `age`: how old it is, where that is worth telling; `is_patient`: whether asking for help may take a while;
    `took`: the seconds in which it was made; `books`: how far they were then.
    """

    at: datetime
    expected: Mapping[str, Expected]
    helping: Helps
    age: timedelta | None = None
    is_patient: bool = True
    took: float = 0.0
    books: BooksMark | None = None

    def help_for(self, order: str) -> Help | None:
        """What helps an order at risk most; None when nothing does or nobody has looked at it yet."""
        return self.helping.help_for(order) if self.is_patient else self.helping.known(order)


class Foresight:
    """The forecast of a shop at this moment, for one answer.

    patience: the seconds after which an older one is told instead; None: it is waited for, unless there is
    one on the shelf that is some minutes old at most, and nothing was booked since of the order asked for.
    """

    def __init__(
        self,
        store: Store,
        settings: Settings,
        now: datetime,
        patience: float | None = None,
        shelf: Shelf | None = None,
    ) -> None:
        self.store, self.settings, self.now = store, settings, now
        self.patience, self.shelf = patience, shelf
        self._known: Foreseen | None = None
        self._touched: frozenset[str] = frozenset()
        self._is_made = False

    def __call__(self, order: str = "", /) -> Foreseen:
        """The forecast; one that knows what was booked last of this order."""
        if self._known is None and self.patience is None and self.shelf:
            self._known = self._from_shelf(self.shelf)
        if self._known is None or (order in self._touched and self.patience is None):
            self._known = self._make()
            self._touched = self._booked_since(self._known)
        if order in self._touched:
            # Nobody is to wait here, but what was booked since is not in it: its age is told, however small.
            return replace(self._known, age=max(self.now - self._known.at, _AN_INSTANT))
        return self._known

    def _booked_since(self, made: Foreseen) -> frozenset[str]:
        """The orders that an older forecast, told for want of patience, may be wrong of."""
        if self.patience is None or made.books is None:
            return frozenset()
        return booked_since(self.store, made.books) or frozenset()

    def put_on_shelf(self) -> None:
        """For those who ask next, where it was made here and took long; after the answer was given."""
        if self._known and self._is_made and self.shelf:
            from tickets.lookup.fresh import put_on_shelf

            put_on_shelf(self.shelf, self.settings, self._known)

    def _from_shelf(self, shelf: Shelf) -> Foreseen | None:
        kept = read_shelved(shelf.read())
        if kept is None or not timedelta() <= self.now - kept.at <= SHELF_AGE:
            return None
        touched = booked_since(self.store, kept.books)
        if touched is None or kept.settings != forecast_settings(self.settings):
            return None
        self._touched = touched
        age = self.now - kept.at
        return Foreseen(kept.at, kept.expected, kept, age if age >= TOLD_AGE else None)

    def _make(self) -> Foreseen:
        from tickets.lookup.fresh import foresee  # numpy comes with it

        self._is_made = True
        return foresee(self.store, self.settings, self.now, self.patience, self.shelf)


def foresight(
    store: Store,
    settings: Settings,
    now: datetime,
    patience: float | None = None,
    shelf: Shelf | None = None,
) -> Foresight:
    """The forecast of a shop at this moment, for `where_is` and its like."""
    return Foresight(store, settings, now, patience, shelf)
