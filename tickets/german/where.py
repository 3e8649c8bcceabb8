"""Days and times in German."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from tickets.standing import Pieces

_DAYS = ("Mo", "Di", "Mi", "Do", "Fr", "Sa", "So")
_MONTHS = ("Jan.", "Feb.", "März", "April", "Mai", "Juni", "Juli", "Aug.", "Sept.", "Okt.", "Nov.", "Dez.")


def say_day(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Fr 4. Dez.; with the year when it is another than now."""
    local = at.astimezone(zone)
    year = f" {local.year}" if local.year != now.astimezone(zone).year else ""
    return f"{_DAYS[local.weekday()]} {local.day}. {_MONTHS[local.month - 1]}{year}"


def say_time(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Do 3. Dez. 15:20, on the shop's own clock."""
    return f"{say_day(at, now, zone)} {at.astimezone(zone):%H:%M}"


def say_ticket(pieces: Pieces, stations: Sequence[str]) -> str:
    """Where the pieces of one ticket are: 38 bei dispatch, 2 Ausschuss."""
    known = [place for place in reversed(stations) if pieces.waiting.get(place)]
    gone = sorted(place for place in pieces.waiting if place not in stations)
    said = [f"{pieces.waiting[place]} bei {place}" for place in (*known, *gone)]
    ends = ((pieces.dispatched, "versandt"), (pieces.spoiled, "Ausschuss"), (pieces.cancelled, "storniert"))
    return ", ".join([*said, *(f"{count} {end}" for count, end in ends if count)])
