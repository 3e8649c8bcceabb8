"""What every look ahead stands on at one moment: the line, what waits, what came of late, and the hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from tickets.forecast.answering import expected_orders
from tickets.forecast.arrivals import Past, supposed_jobs
from tickets.forecast.expected import Expected
from tickets.forecast.futures import FUTURES, Outlook, look_ahead
from tickets.forecast.hours import WorkingTime
from tickets.forecast.model import Job, Line, Paces


@dataclass(frozen=True, slots=True)
class Ground:
    """Read once from the books. `jobs`: the most urgent first; `stopped`: orders of which something waits
    for a person, so that nobody can tell when they are ready.
    """

    line: Line
    jobs: tuple[Job, ...]
    past: tuple[Past, ...]
    paces: Paces
    working: WorkingTime
    now: datetime
    stopped: frozenset[str] = frozenset()
    minute: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "minute", self.working.minute(self.now))

    def moment(self, minutes: float) -> datetime | None:
        """The time that so many working minutes from now are; None beyond the calendar."""
        return self.working.moment(self.minute + minutes)

    def minutes_until(self, at: datetime) -> float:
        """How many working minutes lie between now and then; negative for what is past."""
        return self.working.minute(at) - self.minute

    def supposed(self, jobs: Sequence[Job]) -> tuple[Job, ...]:
        """Jobs that may come while these are worked on, and go before some of them."""
        return tuple(supposed_jobs(self.line, jobs, self.past, self.paces, self.moment))

    def look(self, jobs: Sequence[Job], futures: int = FUTURES, line: Line | None = None) -> Outlook:
        """Look ahead with these jobs; `line` None: as it is manned now."""
        return look_ahead(line or self.line, jobs, self.paces, futures)

    def expected(self, outlook: Outlook) -> dict[str, Expected]:
        """What is expected of each order that does not wait for a person."""
        told = expected_orders(outlook, self.moment)
        return {order: when for order, when in told.items() if order not in self.stopped}
