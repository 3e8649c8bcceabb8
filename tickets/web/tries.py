"""Counts by where they come from what must not be done too often: wrong codes, and views of strangers."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from tickets.problems import ShopProblem

MOST_TRIES = 10
EVERYBODY = 100  # wrong codes from all addresses together: an attacker may have many
WITHIN_SECONDS = 600.0
MOST_VIEWS, VIEWS_SECONDS = 60, 60.0  # of customers' pages; a whole office may sit behind one address
ALL_VIEWS = 600


class TooManyTries(ShopProblem):
    """Too many wrong codes."""

    http_status = 429


@dataclass
class Tries:
    """Wrong tries of the last ten minutes, in memory. `clock` is monotonic, in seconds."""

    clock: Callable[[], float] = time.monotonic
    most: int = MOST_TRIES
    everybody: int = EVERYBODY
    within_seconds: float = WITHIN_SECONDS
    _wrong: deque[tuple[float, str]] = field(default_factory=deque)

    def require_left(self, address: str) -> None:
        """Raises TooManyTries `too-many-tries`."""
        oldest = self.clock() - self.within_seconds
        while self._wrong and self._wrong[0][0] < oldest:
            self._wrong.popleft()
        own = sum(by == address for _, by in self._wrong)
        if own >= self.most or len(self._wrong) >= self.everybody:
            raise self.problem()

    def problem(self) -> TooManyTries:
        """What is said to who has to wait."""
        return TooManyTries(
            "too-many-tries", "Too many wrong codes were tried.", "Wait ten minutes, then try again."
        )

    def note_wrong(self, address: str) -> None:
        """One more wrong code."""
        self._wrong.append((self.clock(), address))


class Views(Tries):
    """Views of customers' pages within the last minute, right links and wrong ones."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(clock, MOST_VIEWS, ALL_VIEWS, VIEWS_SECONDS)

    def problem(self) -> TooManyTries:
        """What is said to who has to wait."""
        return TooManyTries(
            "too-many-views",
            "This page was loaded too often just now.",
            "Wait a minute, then load it.",
        )
