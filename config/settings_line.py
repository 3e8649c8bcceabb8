"""What the line can do: its hours, its stations' hands and paces, as set before scans tell better."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date, time, timedelta
from typing import Literal

from pydantic import Field, field_validator, model_validator

from config.section import Section

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SPAN = re.compile(r"(\d\d?:\d\d)\s*-\s*(\d\d?:\d\d)")
_DAYS = re.compile(r"(\d{4}-\d\d-\d\d)(?:\s*/\s*(\d{4}-\d\d-\d\d))?")
_OPEN_DAY = re.compile(r"(\d{4}-\d\d-\d\d)\s+(.+)")
_MOST_DAYS_CLOSED = 3660

Span = tuple[time, time]


class LineHours(Section):
    """When the line works: spans such as "08:30-12:30" for each day of the week; [] is a day off."""

    monday: tuple[str, ...]
    tuesday: tuple[str, ...]
    wednesday: tuple[str, ...]
    thursday: tuple[str, ...]
    friday: tuple[str, ...]
    saturday: tuple[str, ...]
    sunday: tuple[str, ...]

    @field_validator(*WEEKDAYS)
    @classmethod
    def _are_spans(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        read_spans(value)
        return value

    @model_validator(mode="after")
    def _is_ever_open(self) -> LineHours:
        if not any(self.spans(weekday) for weekday in range(7)):
            raise ValueError("the line never works: give at least one day of the week its hours")
        return self

    def spans(self, weekday: int) -> tuple[Span, ...]:
        """The working spans of a day of the week, Monday 0, in the shop's own time."""
        written: tuple[str, ...] = getattr(self, WEEKDAYS[weekday])
        return read_spans(written)


class StationPace(Section):
    """How fast one station works: common practice until the shop sets it, and until its own scans tell."""

    hands: int = Field(default=1, ge=1, le=200)
    per: Literal["piece", "metre", "job"] = "piece"
    an_hour: float = Field(default=120.0, gt=0)
    set_up_minutes: float = Field(default=2.0, ge=0)
    load: float = Field(default=0.0, ge=0)
    load_minutes: float = Field(default=0.0, ge=0)
    cooling_minutes: float = Field(default=0.0, ge=0)
    gather_minutes: float = Field(default=0.0, ge=0)
    spread: float = Field(default=0.3, ge=0, le=2)
    doubt: float = Field(default=0.35, ge=0, le=2)
    spoiled_share: float = Field(default=0.0, ge=0, le=0.9)

    @model_validator(mode="after")
    def _load_has_its_time(self) -> StationPace:
        if (self.load > 0) != (self.load_minutes > 0):
            raise ValueError(
                "load and load_minutes belong together: how much goes in at once, and for how long"
            )
        return self


class LineSettings(Section):
    """The whole line as the forecast sees it before it has learnt anything."""

    hours: LineHours
    holidays: str
    closed: tuple[str, ...]
    also_open: tuple[str, ...]
    learn: bool
    station: Mapping[str, StationPace]

    @field_validator("closed")
    @classmethod
    def _are_days(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        _days_closed(value)
        return value

    @field_validator("also_open")
    @classmethod
    def _are_open_days(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        _days_open(value)
        return value

    @field_validator("holidays")
    @classmethod
    def _is_known(cls, value: str) -> str:
        if value:
            _public_holidays(value, [2026])
        return value

    def pace(self, station: str) -> StationPace:
        """The pace of a station; one that the settings do not name works as the ordinary one."""
        return self.station.get(station) or StationPace()

    def days_off(self, years: Iterable[int]) -> frozenset[date]:
        """The days of these years on which nobody works: public holidays and the shop's own list."""
        known = _public_holidays(self.holidays, years) if self.holidays else frozenset[date]()
        return known | _days_closed(self.closed)

    def days_on(self) -> dict[date, tuple[Span, ...]]:
        """Days with hours of their own, whatever weekday or holiday they are."""
        return _days_open(self.also_open)


def read_spans(written: Iterable[str]) -> tuple[Span, ...]:
    """Spans such as "08:30-12:30", in order. Raises ValueError for what is none, or lies over another."""
    spans: list[Span] = []
    for text in written:
        found = _SPAN.fullmatch(text.strip())
        if not found:
            raise ValueError(f"{text!r} is no span of hours, such as 08:30-12:30")
        start, end = (time.fromisoformat(part.zfill(5)) for part in found.groups())
        if end <= start or (spans and start < spans[-1][1]):
            raise ValueError(f"{text!r} ends before it begins, or lies over the span before it")
        spans.append((start, end))
    return tuple(spans)


def _days_closed(written: Iterable[str]) -> frozenset[date]:
    days: set[date] = set()
    for text in written:
        found = _DAYS.fullmatch(text.strip())
        if not found:
            raise ValueError(f"{text!r} is no day (2026-12-24), nor a stretch (2026-12-24/2027-01-01)")
        first = date.fromisoformat(found[1])
        last = date.fromisoformat(found[2]) if found[2] else first
        if not 0 <= (last - first).days < _MOST_DAYS_CLOSED:
            raise ValueError(f"{text!r} ends before it begins, or is longer than ten years")
        days |= {first + timedelta(days=n) for n in range((last - first).days + 1)}
    return frozenset(days)


def _days_open(written: Iterable[str]) -> dict[date, tuple[Span, ...]]:
    days: dict[date, tuple[Span, ...]] = {}
    for text in written:
        found = _OPEN_DAY.fullmatch(text.strip())
        if not found:
            raise ValueError(f"{text!r} is no day with hours, such as 2026-12-19 08:00-13:00")
        day = date.fromisoformat(found[1])
        days[day] = (*days.get(day, ()), *read_spans([found[2]]))
    return days


def _public_holidays(code: str, years: Iterable[int]) -> frozenset[date]:
    """The public holidays of a country, or of a part of it: "GB" or "GB-SCT" (ISO 3166-1 and -2).

    Raises ValueError for a code that is none.
    """
    import holidays  # hundreds of calendars: only a shop that asks for one pays for it

    country, _, part = code.strip().partition("-")
    try:
        return frozenset(holidays.country_holidays(country, subdiv=part or None, years=sorted(set(years))))
    except (NotImplementedError, KeyError, AttributeError) as error:
        raise ValueError(
            f"{code!r} is no country whose public holidays are known, such as GB or GB-SCT"
        ) from error
