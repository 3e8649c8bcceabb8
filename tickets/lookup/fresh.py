"""The newest forecast of a shop: kept until something is booked, and made anew beside the pages that ask."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from weakref import WeakKeyDictionary

from config.settings import Settings
from tickets.forecast.answering import Expected
from tickets.forecast.changes import Help
from tickets.forecast.helping import Helping
from tickets.lookup.ready import booked_last, expect, read_ground
from tickets.store import Store

_log = logging.getLogger(__name__)
OLDEST = timedelta(minutes=30)  # what is older is not told, however long a new one takes
_TOLD_AGE = timedelta(minutes=1)  # what is younger is as good as new
_REST = 3.0  # of so many times the time that a forecast took, before the next one is made beside the pages
_SHORT_SECONDS = 0.3  # after one as short as that nobody has to rest


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What the forecast says of every order in work, and what helps those that may be late.

    `age`: how old it is, where that is worth telling; `is_patient`: whether asking for help may take a while.
    """

    at: datetime
    expected: dict[str, Expected]
    helping: Helping
    age: timedelta | None = None
    is_patient: bool = True

    def help_for(self, order: str) -> Help | None:
        """What helps an order at risk most; None when nothing does or nobody has looked at it yet."""
        return self.helping.help_for(order) if self.is_patient else self.helping.known(order)


def foresee(store: Store, settings: Settings, now: datetime, patience: float | None = None) -> Foreseen:
    """The forecast at this moment: the same until something is booked, or the next minute.

    patience: seconds after which an older forecast is told, with its age, while the new one is made beside.
    None: it is waited for, however long it takes.
    """
    key = (booked_last(store), now.replace(second=0, microsecond=0), settings)
    with _LOCK:
        newest = _NEWEST.setdefault(store, _Newest())
    return newest.ask(key, now, lambda: _make(store, settings, now), patience)


def made_last(store: Store) -> int:
    """A number that changes whenever a new forecast is there."""
    newest = _NEWEST.get(store)
    return newest.made if newest else 0


def _make(store: Store, settings: Settings, now: datetime) -> Foreseen:
    ground = read_ground(store, settings, now)
    expected = expect(ground)
    return Foreseen(now, expected, Helping(ground, expected))


@dataclass
class _Newest:
    """The newest forecast of one shop, and the one that is being made."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    key: tuple[Any, ...] | None = None
    kept: Foreseen | None = None
    making: threading.Event | None = None
    failed: Exception | None = None
    rest_until: float = 0.0
    made: int = 0

    def ask(
        self, key: tuple[Any, ...], now: datetime, make: Callable[[], Foreseen], patience: float | None
    ) -> Foreseen:
        """The kept one when it is of this key, else a new one; or an old one when patience runs out."""
        with self.lock:
            if self.kept and self.key == key:
                return _told(self.kept, now, patience)
        if patience is None:
            made = make()
            self._keep(key, made)
            return made
        there = self._begin(key, make)
        there.wait(patience)
        old = self._old_enough(key, now)
        if old is None:
            there.wait()
            old = self._old_enough(key, now)
        if old is None:
            assert self.failed is not None
            raise self.failed
        return _told(old, now, patience)

    def _old_enough(self, key: tuple[Any, ...], now: datetime) -> Foreseen | None:
        with self.lock:
            is_told = self.kept and self.key and self.key[-1] == key[-1] and now - self.kept.at <= OLDEST
            return self.kept if is_told else None

    def _begin(self, key: tuple[Any, ...], make: Callable[[], Foreseen]) -> threading.Event:
        """Make it beside, unless one is being made or the machine has to rest from the last."""
        with self.lock:
            if self.making:
                return self.making
            there = threading.Event()
            if self.kept and time.monotonic() < self.rest_until:
                there.set()
                return there
            self.making, self.failed = there, None
        threading.Thread(target=self._make, args=(key, make, there), daemon=True).start()
        return there

    def _make(self, key: tuple[Any, ...], make: Callable[[], Foreseen], there: threading.Event) -> None:
        start = time.monotonic()
        try:
            made = make()
            if self.kept is None:
                self._keep(key, made)  # whoever waits for the first one need not wait for what helps
                there.set()
            made.helping.look_at_all()
            self._keep(key, made)
        except Exception as error:
            _log.exception("event=forecast-failed", exc_info=error)
            self.failed = error
        finally:
            took = time.monotonic() - start
            with self.lock:
                self.making = None
                self.rest_until = time.monotonic() + (_REST * took if took > _SHORT_SECONDS else 0.0)
            there.set()

    def _keep(self, key: tuple[Any, ...], made: Foreseen) -> None:
        with self.lock:
            self.key, self.kept, self.made = key, made, self.made + 1


def _told(kept: Foreseen, now: datetime, patience: float | None) -> Foreseen:
    age = now - kept.at
    told = age if age >= _TOLD_AGE else None
    return Foreseen(kept.at, kept.expected, kept.helping, told, is_patient=patience is None)


_LOCK = threading.Lock()
_NEWEST: WeakKeyDictionary[Store, _Newest] = WeakKeyDictionary()
