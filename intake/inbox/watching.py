"""File events, used for one thing only: to cut the wait for the next directory scan short."""

from __future__ import annotations

import logging
import os
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any

from intake.inbox.listing import OWN
from intake.shop import MARKER

if TYPE_CHECKING:
    from watchdog.observers.api import BaseObserver

_log = logging.getLogger(__name__)
LEAST_SECONDS = 0.2  # between two scans: a burst of events must not become a burst of scans
LEAST_LIFE_SECONDS = 5.0  # a watch that dies sooner is not started again at once
RETRY_SECONDS = 300.0  # until events are tried again after they failed
PROOF_SECONDS = 10.0  # within which the event of a file that we have written ourselves must arrive
PROVE_AGAIN_SECONDS = 600.0  # between two such proofs
COOKIE = f"{OWN}cookie"


class Waker:
    """Waits for the next scan, and ends the wait early when something stirs in the inbox.

    Every source of events loses some of them, and on network folders there are none at all; so nothing is
    ever concluded from an event, and when they cannot be had the scans go on alone, which is said once.
    """

    def __init__(self, inbox: Path) -> None:
        self._inbox = inbox
        self._stirred = threading.Event()
        self._observer: BaseObserver | None = None
        self._place: tuple[int, int] | None = None
        self._retry_at = 0.0
        self._said = False
        self._cookie_seen = threading.Event()
        self._prove_at = 0.0
        self._proof_until: float | None = None  # a cookie is written and its event is awaited

    def wake(self) -> None:
        """End the wait now."""
        self._stirred.set()

    def wait(self, seconds: float, stop: threading.Event) -> None:
        """Wait until something stirs, at most so long, at least a moment."""
        if stop.wait(min(LEAST_SECONDS, seconds)):
            return
        self._stirred.wait(max(0.0, seconds - LEAST_SECONDS))
        self._stirred.clear()

    def keep_watching(self, now: float) -> None:
        """See to it that events come: at the start, and when the inbox was replaced or a thread died."""
        try:
            status = self._inbox.stat()
        except OSError:
            return  # the scan says what is the matter
        place = (status.st_dev, status.st_ino)
        if self._observer is not None and place == self._place and self._is_alive():
            self._prove(now)
            return
        if now < self._retry_at:
            return
        self.close()
        self._place = place
        self._retry_at = now + LEAST_LIFE_SECONDS
        try:
            self._observer = _start_observer(self._inbox, self._stirred, self._cookie_seen)
            self._prove_at, self._proof_until = now, None
        except Exception as error:
            # OSError with misleading words (no space, too many files) when a limit of watches is reached.
            self._do_without(now, str(error))

    def _do_without(self, now: float, why: str) -> None:
        self._retry_at = now + RETRY_SECONDS
        if not self._said:
            _log.warning("event=events-unavailable why=%s scanning goes on without them", ascii(why))
        self._said = True

    def _prove(self, now: float) -> None:
        """See by a file of our own whether events arrive: network mounts take a watch and stay silent.

        The idea is Watchman's cookie file (its documentation). Nothing depends on the answer but how
        soon a dropped file is looked at.
        """
        if self._proof_until is None:
            if now >= self._prove_at and self._write_cookie():
                self._proof_until = now + PROOF_SECONDS
                self._prove_at = now + PROVE_AGAIN_SECONDS
        elif self._cookie_seen.is_set():
            self._proof_until = None
            if self._said:
                _log.info("event=events-arrive")
            self._said = False
        elif now > self._proof_until:
            self.close()
            self._do_without(now, "a file written there caused no event")

    def _write_cookie(self) -> bool:
        """Write and remove the file, but never into the empty place under a network folder that is away."""
        self._cookie_seen.clear()
        cookie = self._inbox / COOKIE
        try:
            if not (self._inbox / MARKER).is_file():
                return False
            cookie.write_bytes(b"")
            cookie.unlink()
        except OSError:
            self._prove_at += PROVE_AGAIN_SECONDS  # not ours to write in: then it cannot be told
            return False
        return True

    def _is_alive(self) -> bool:
        # The observer says that it is alive even when the threads that do the work are dead (measured).
        observer = self._observer
        return observer is not None and observer.is_alive() and all(e.is_alive() for e in observer.emitters)

    def close(self) -> None:
        """Let go of the events."""
        if self._observer is not None:
            self._observer.stop()
            self._observer.join(timeout=2)
            self._observer = None
        self._proof_until = None


def _start_observer(inbox: Path, stirred: threading.Event, cookie_seen: threading.Event) -> BaseObserver:
    from watchdog import events
    from watchdog.observers import Observer

    class _Handler(events.FileSystemEventHandler):
        def on_any_event(self, event: Any) -> None:
            if os.fsdecode(event.src_path).endswith(COOKIE):
                cookie_seen.set()
            else:
                stirred.set()

    # Not opened and closed-without-writing: our own scans and copies would wake us for ever.
    wanted = [
        events.FileCreatedEvent,
        events.FileModifiedEvent,
        events.FileMovedEvent,
        events.FileClosedEvent,
        events.FileDeletedEvent,
        events.DirCreatedEvent,
        events.DirMovedEvent,
    ]
    observer = Observer()
    observer.daemon = True
    observer.schedule(_Handler(), str(inbox), recursive=True, event_filter=wanted)
    observer.start()
    return observer
