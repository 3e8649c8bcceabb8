"""How long the planner may think: by a clock that is handed in, or by counted tries where there is none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

TRIES_A_SECOND = 1200  # about as many placements a second as a desktop of 2020 tries by outlines


def never() -> bool:
    """Nobody asks to stop."""
    return False


@dataclass(slots=True)
class Effort:
    """So many seconds of thinking. Without a clock they are counted in tries, the same on every machine."""

    seconds: float
    stop: Callable[[], bool] = never
    clock: Callable[[], float] | None = None
    _tries: int = 0
    _started: float = field(default=0.0)

    def __post_init__(self) -> None:
        self._started = self.clock() if self.clock else 0.0

    def spend(self, tries: int) -> None:
        """Count so many pieces that were laid on trial."""
        self._tries += tries

    def share(self) -> float:
        """How much of the time is gone, 0 to 1."""
        if self.seconds <= 0:
            return 1.0
        gone = self.clock() - self._started if self.clock else self._tries / TRIES_A_SECOND
        return min(1.0, gone / self.seconds)

    def is_over(self) -> bool:
        """Whether the time is up, or somebody asks to stop."""
        return self.stop() or self.share() >= 1.0

    def part(self, share: float) -> Effort:
        """An effort of this share of what is left."""
        return Effort(self.seconds * (1 - self.share()) * share, self.stop, self.clock)
