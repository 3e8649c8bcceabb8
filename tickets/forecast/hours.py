"""The shop's working time: how many minutes of it lie between two moments, and which moment a minute is."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import accumulate
from zoneinfo import ZoneInfo

from config.settings_line import LineSettings

_DAYS_BACK, _DAYS_AHEAD = 60, 800  # how far history is read and how far is looked ahead


@dataclass(frozen=True, slots=True)
class WorkingTime:
    """The stretches in which the line works, in seconds since 1970, and the minutes worked before each.

    Minutes count from the first stretch on; only differences mean anything.
    """

    starts: Sequence[float]
    ends: Sequence[float]
    before: Sequence[float]

    @classmethod
    def around(cls, line: LineSettings, zone: ZoneInfo, now: datetime) -> WorkingTime:
        """The working time of a shop, from two months before now to more than two years after it.

        On a day on which clocks change, its hours are those that the clock on the wall shows.
        """
        today = now.astimezone(zone).date()
        first, count = today - timedelta(days=_DAYS_BACK), _DAYS_BACK + _DAYS_AHEAD
        days = [first + timedelta(days=n) for n in range(count)]
        off, on = line.days_off(range(days[0].year, days[-1].year + 1)), line.days_on()
        weekly = {weekday: line.hours.spans(weekday) for weekday in range(7)}
        return cls.of({day: on.get(day, () if day in off else weekly[day.weekday()]) for day in days}, zone)

    @classmethod
    def of(cls, days: Mapping[date, Sequence[tuple[time, time]]], zone: ZoneInfo) -> WorkingTime:
        """The working time of these days, each with its spans on the clock of `zone`."""
        spans = [
            (_seconds(day, start, zone), _seconds(day, end, zone))
            for day, hours in sorted(days.items())
            for start, end in hours
        ]
        spans = [
            (start, end) for start, end in spans if end > start
        ]  # none is left of an hour that is skipped
        lengths = ((end - start) / 60 for start, end in spans)
        before = tuple(accumulate(lengths, initial=0.0))
        return cls(tuple(s for s, _ in spans), tuple(e for _, e in spans), before)

    def minute(self, at: datetime) -> float:
        """Which working minute a moment is; outside of working time the one that comes next."""
        seconds = at.timestamp()
        span = bisect_right(self.starts, seconds) - 1
        if span < 0:
            return 0.0
        return self.before[span] + (min(seconds, self.ends[span]) - self.starts[span]) / 60

    def moment(self, minute: float) -> datetime | None:
        """The moment, in UTC, at which so many working minutes are over; None beyond what is known.

        The last minute of a day ends in the evening, not on the next morning.
        """
        span = max(0, bisect_left(self.before, minute) - 1)
        if span >= len(self.starts) or minute > self.before[-1]:
            return None
        return datetime.fromtimestamp(self.starts[span] + (minute - self.before[span]) * 60, UTC)


def _seconds(day: date, at: time, zone: ZoneInfo) -> float:
    return datetime.combine(day, at, zone).timestamp()
