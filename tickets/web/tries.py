"""Counts wrong pairing codes by where they come from, so that nobody can try them all."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from tickets.problems import ShopProblem

MOST_TRIES = 10
EVERYBODY = 100  # wrong codes from all addresses together: an attacker may have many
WITHIN_SECONDS = 600.0


class TooManyTries(ShopProblem):
    """Too many wrong codes."""

    http_status = 429


@dataclass
class Tries:
    """Wrong tries of the last ten minutes, in memory. `clock` is monotonic, in seconds."""

    clock: Callable[[], float] = time.monotonic
    _wrong: deque[tuple[float, str]] = field(default_factory=deque)

    def require_left(self, address: str) -> None:
        """Raises TooManyTries `too-many-tries`."""
        oldest = self.clock() - WITHIN_SECONDS
        while self._wrong and self._wrong[0][0] < oldest:
            self._wrong.popleft()
        own = sum(by == address for _, by in self._wrong)
        if own >= MOST_TRIES or len(self._wrong) >= EVERYBODY:
            raise TooManyTries(
                "too-many-tries", "Too many wrong codes were tried.", "Wait ten minutes, then try again."
            )

    def note_wrong(self, address: str) -> None:
        """One more wrong code."""
        self._wrong.append((self.clock(), address))
