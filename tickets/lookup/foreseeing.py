"""Hands the forecast to whoever answers: asked once, and only when an order that was found is in work."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from config.settings import Settings
from tickets.lookup.answering import Foresee
from tickets.store import Store

if TYPE_CHECKING:
    from tickets.forecast.answering import Expected

_log = logging.getLogger(__name__)
QUICK_SECONDS = 0.3  # a forecast that takes less is made anew for every question
AGAIN_SECONDS = 10.0  # a slow one at most so often
OLDEST_SECONDS = 120.0  # an older one is not told


def foresight(store: Store, settings: Settings, now: datetime) -> Foresee:
    """The forecast of a shop at this moment, for `where_is` and its like."""

    def expected() -> Mapping[str, Expected]:
        from tickets.lookup.ready import foresee  # numpy comes with it

        return foresee(store, settings, now).expected

    return expected


class Foreseer:
    """The forecast for pages that ask by the second. Where it takes long, that of a moment ago serves.

    A shop whose forecast is quick gets the one of this very moment. In a large one a caller at the desk does
    not wait for it after every scan: the last one is told, and a new one is made behind it.
    """

    def __init__(self, monotonic: Callable[[], float] = time.monotonic) -> None:
        self._monotonic = monotonic
        self._lock = threading.Lock()
        self._kept: _Kept | None = None
        self._behind: threading.Thread | None = None

    def foresight(self, store: Store, settings: Settings, now: datetime) -> Foresee:
        """As the function of that name."""

        def expected() -> Mapping[str, Expected]:
            kept = self._kept
            age = self._monotonic() - kept.made_at if kept else OLDEST_SECONDS
            if kept is None or kept.took < QUICK_SECONDS or age >= OLDEST_SECONDS:
                return self._look(store, settings, now).expected
            if age >= AGAIN_SECONDS:
                self._look_behind(store, settings, now)
            return kept.expected

        return expected

    def _look(self, store: Store, settings: Settings, now: datetime) -> _Kept:
        began = self._monotonic()
        found = foresight(store, settings, now)()
        made_at = self._monotonic()
        with self._lock:
            is_same = self._kept is not None and self._kept.expected is found  # nothing was booked since
            took = self._kept.took if self._kept and is_same else made_at - began
            self._kept = _Kept(found, made_at, took)
            return self._kept

    def _look_behind(self, store: Store, settings: Settings, now: datetime) -> None:
        with self._lock:
            if self._behind is not None and self._behind.is_alive():
                return
            self._behind = threading.Thread(
                target=self._try, args=(store, settings, now), name="forecast", daemon=True
            )
            self._behind.start()

    def _try(self, store: Store, settings: Settings, now: datetime) -> None:
        try:
            self._look(store, settings, now)
        except Exception:
            _log.exception("event=forecast-failed")

    def wait(self) -> None:
        """Until what was begun behind an answer is done."""
        if self._behind is not None:
            self._behind.join()


@dataclass(frozen=True, slots=True)
class _Kept:
    expected: Mapping[str, Expected]
    made_at: float  # by the monotonic clock
    took: float  # seconds
