"""The newest forecast of a shop: kept until something is booked, and made anew beside the pages that ask."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any
from weakref import WeakKeyDictionary

from config.settings import Settings
from tickets.forecast.helping import Helping
from tickets.lookup.foreseeing import TOLD_AGE, Foreseen
from tickets.lookup.ready import expect, read_ground
from tickets.lookup.shelf import Shelf, Shelved, forecast_settings, mark_books, read_shelved
from tickets.store import Store

_log = logging.getLogger(__name__)
OLDEST = timedelta(minutes=30)  # what is older is not told, however long a new one takes
_REST = 3.0  # of so many times the time that a forecast took, before the next one is made beside the pages
SHORT_SECONDS = 0.3  # after one as short as that nobody has to rest, and nobody gains by keeping it
Key = tuple[Any, ...]  # how far the books are, the minute, and the settings


def foresee(
    store: Store,
    settings: Settings,
    now: datetime,
    patience: float | None = None,
    shelf: Shelf | None = None,
) -> Foreseen:
    """The forecast at this moment: the same until something is booked, or the next minute.

    patience: seconds after which an older forecast is told, with its age, while the new one is made beside.
    None: it is waited for, however long it takes. What another process put on the shelf is not made again.
    """
    minute = now.replace(second=0, microsecond=0)
    key = (mark_books(store), minute, settings)
    with _LOCK:
        newest = _NEWEST.setdefault(store, _Newest())
    if shelf and not newest.is_of(key):
        newest.take(read_shelved(shelf.read()), settings, now)

    def make() -> Foreseen:
        return _make(store, settings, minute)

    def keep(made: Foreseen) -> None:
        if shelf:
            put_on_shelf(shelf, settings, made)

    return newest.ask(key, now, make, patience, keep)


def made_last(store: Store) -> int:
    """A number that changes whenever a new forecast is there."""
    newest = _NEWEST.get(store)
    return newest.made if newest else 0


def put_on_shelf(shelf: Shelf, settings: Settings, made: Foreseen) -> None:
    """Keep it for other processes, where it took long, is of the books as they are, and is the newest."""
    if made.took <= SHORT_SECONDS or made.books is None:
        return
    kept = read_shelved(shelf.read())
    wanted = forecast_settings(settings)
    if kept and kept.settings == wanted and (kept.at, kept.books.event) >= (made.at, made.books.event):
        return
    made.helping.look_at_all()
    helped = tuple(made.helping.helped)
    helps = {order: made.helping.known(order) for order in helped}
    shelf.write(
        Shelved(
            made.books,
            wanted,
            made.at,
            made.expected,
            dict(made.helping.at_risk),
            helped,
            helps,
            made.helping.hands,
        ).as_bytes()
    )


def _make(store: Store, settings: Settings, minute: datetime) -> Foreseen:
    """As of the beginning of a minute: every process that makes it then says the same."""
    start = time.monotonic()
    books = mark_books(store)  # before the reading: what is booked meanwhile makes it older, never newer
    ground = read_ground(store, settings, minute)
    expected = expect(ground)
    took = time.monotonic() - start
    return Foreseen(minute, expected, Helping(ground, expected), took=took, books=books)


@dataclass
class _Newest:
    """The newest forecast of one shop, and the one that is being made."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    key: Key | None = None
    kept: Foreseen | None = None
    making: threading.Event | None = None
    failed: Exception | None = None
    rest_until: float = 0.0
    made: int = 0

    def is_of(self, key: Key) -> bool:
        """Whether the kept one is of this key."""
        with self.lock:
            return self.key == key

    def take(self, shelved: Shelved | None, settings: Settings, now: datetime) -> None:
        """One that another process made, where it is of this shop and newer than the kept one."""
        if shelved is None or shelved.at > now or shelved.settings != forecast_settings(settings):
            return
        with self.lock:
            is_newer = self.kept is None or (shelved.at, shelved.books.event) > (self.kept.at, self._event())
            if is_newer:
                self.key = (shelved.books, shelved.at, settings)
                self.kept = Foreseen(shelved.at, shelved.expected, shelved, books=shelved.books)
                self.made += 1

    def _event(self) -> int:
        return self.kept.books.event if self.kept and self.kept.books else 0

    def ask(
        self,
        key: Key,
        now: datetime,
        make: Callable[[], Foreseen],
        patience: float | None,
        keep: Callable[[Foreseen], None] | None = None,
    ) -> Foreseen:
        """The kept one when it is of this key, else a new one; or an old one when patience runs out.

        `keep`: what is done beside with one that was made beside.
        """
        with self.lock:
            if self.kept and self.key == key:
                return _told(self.kept, now, patience)
        if patience is None:
            made = make()
            self._keep(key, made)
            return made
        there = self._begin(key, make, keep)
        there.wait(patience)
        old = self._old_enough(key, now)
        if old is None:
            there.wait()
            old = self._old_enough(key, now)
        if old is None:
            assert self.failed is not None
            raise self.failed
        return _told(old, now, patience)

    def _old_enough(self, key: Key, now: datetime) -> Foreseen | None:
        with self.lock:
            is_told = self.kept and self.key and self.key[-1] == key[-1] and now - self.kept.at <= OLDEST
            return self.kept if is_told else None

    def _begin(
        self, key: Key, make: Callable[[], Foreseen], keep: Callable[[Foreseen], None] | None
    ) -> threading.Event:
        """Make it beside, unless one is being made or the machine has to rest from the last."""
        with self.lock:
            if self.making:
                return self.making
            there = threading.Event()
            if self.kept and time.monotonic() < self.rest_until:
                there.set()
                return there
            self.making, self.failed = there, None
        threading.Thread(target=self._make, args=(key, make, keep, there), daemon=True).start()
        return there

    def _make(
        self,
        key: Key,
        make: Callable[[], Foreseen],
        keep: Callable[[Foreseen], None] | None,
        there: threading.Event,
    ) -> None:
        start = time.monotonic()
        try:
            made = make()
            if self.kept is None:
                self._keep(key, made)  # whoever waits for the first one need not wait for what helps
                there.set()
            made.helping.look_at_all()
            self._keep(key, made)
            if keep:
                keep(made)
        except Exception as error:
            _log.exception("event=forecast-failed", exc_info=error)
            self.failed = error
        finally:
            took = time.monotonic() - start
            with self.lock:
                self.making = None
                self.rest_until = time.monotonic() + (_REST * took if took > SHORT_SECONDS else 0.0)
            there.set()

    def _keep(self, key: Key, made: Foreseen) -> None:
        with self.lock:
            self.key, self.kept, self.made = key, made, self.made + 1


def _told(kept: Foreseen, now: datetime, patience: float | None) -> Foreseen:
    age = now - kept.at
    told = age if age >= TOLD_AGE else None
    return replace(kept, age=told, is_patient=patience is None)


_LOCK = threading.Lock()
_NEWEST: WeakKeyDictionary[Store, _Newest] = WeakKeyDictionary()
