"""German: orders that may be late, and what helps them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from tickets.forecast.changes import Change, Hands, Help
from tickets.german.floor import station_at
from tickets.german.numbers import number
from tickets.german.where import say_expected, say_time

if TYPE_CHECKING:
    from tickets.forecast.expected import Expected

MAY_BE_LATE, NONE_AT_RISK = (
    "Könnte zu spät werden",
    "Alles in Arbeit wird voraussichtlich rechtzeitig fertig.",
)
HELPS_MOST, NOTHING_HELPS = "Am meisten hilft:", "Keine einzelne Änderung hilft viel."
EACH_ALONE = "Jede Änderung ist für sich betrachtet: zwei Eilaufträge warten aufeinander."
LOOKING = "Was helfen würde, wird gerade ermittelt."


def say_foreseen(
    ready: Expected, age: timedelta | None, is_at_risk: bool, now: datetime, zone: ZoneInfo
) -> str:
    """When an order is expected ready; that it may be late; and as of when, where that is a while ago."""
    told = say_expected(ready.likely, ready.latest, ready.station, now, zone)
    as_of = f" (Stand {say_time(now - age, now, zone)})" if age else ""
    return f"{told}{as_of}{'; könnte zu spät werden' if is_at_risk else ''}"


def say_help(found: Help, now: datetime, zone: ZoneInfo) -> str:
    """The one change that helps most, and what it brings."""
    if found.change is Change.PART or found.latest is None:
        return f"{found.pieces} von {found.of} Stück können rechtzeitig als Teillieferung gehen."
    in_time = "rechtzeitig" if found.holds else "immer noch zu spät"
    ready = f"spätestens {say_time(found.latest, now, zone)} fertig, {in_time}"
    if found.change is Change.RUSH:
        return f"als Eilauftrag ist es {ready}{_pushing(found.pushes)}."
    if found.change is Change.HANDS:
        return f"mit einer Person mehr {station_at(found.station)} ist es {ready}."
    return f"in zwei Hälften weitergegeben ist es {ready}."


def _pushing(others: int) -> str:
    if not others:
        return ""
    late = "käme ein anderer Auftrag" if others == 1 else f"kämen {number(others)} andere Aufträge"
    return f"; dadurch {late} zu spät"


def say_hands(hands: Hands) -> str:
    """What one more pair of hands would do for all that may be late."""
    at = station_at(hands.station)
    if hands.in_time == hands.of:
        return f"Mit einer Person mehr {at} wären alle {number(hands.of)} rechtzeitig fertig."
    return (
        f"Mit einer Person mehr {at} wären {number(hands.in_time)} von {number(hands.of)} rechtzeitig fertig."
    )


def say_risk(due_at: datetime, latest: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Due, and ready when."""
    due = f"{'war fällig' if due_at < now else 'fällig'} {say_time(due_at, now, zone)}"
    return f"{due}, spätestens fertig {say_time(latest, now, zone)}"


def say_more(more: int) -> str:
    """Orders at risk that are not listed."""
    return f"Und {number(more)} weitere."
