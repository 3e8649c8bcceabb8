"""What is said about orders that may be late, and what helps them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from tickets.forecast.changes import Change, Hands, Help
from tickets.languages import make_spoken
from tickets.wording_where import say_expected, say_time

if TYPE_CHECKING:
    from tickets.forecast.expected import Expected

MAY_BE_LATE, NONE_AT_RISK = "May be late", "All that is in work is expected in time."
HELPS_MOST, NOTHING_HELPS = "What helps most:", "No single change helps much."
EACH_ALONE = "Each change is looked at by itself: two rush jobs wait for each other."
LOOKING = "It is being looked at what would help."


def say_foreseen(
    ready: Expected, age: timedelta | None, is_at_risk: bool, now: datetime, zone: ZoneInfo
) -> str:
    """When an order is expected ready; that it may be late; and as of when, where that is a while ago."""
    told = say_expected(ready.likely, ready.latest, ready.station, now, zone)
    as_of = f" (as of {say_time(now - age, now, zone)})" if age else ""
    return f"{told}{as_of}{'; it may be late' if is_at_risk else ''}"


def say_help(found: Help, now: datetime, zone: ZoneInfo) -> str:
    """The one change that helps most, and what it brings."""
    if found.change is Change.PART or found.latest is None:
        return f"{found.pieces} of {found.of} pieces can go in part, in time."
    ready = f"at the latest {say_time(found.latest, now, zone)}, {'in time' if found.holds else 'still late'}"
    if found.change is Change.RUSH:
        return f"as a rush job it is ready {ready}{_pushing(found.pushes)}."
    if found.change is Change.HANDS:
        return f"with one more at {found.station} it is ready {ready}."
    return f"passed on in two halves it is ready {ready}."


def _pushing(others: int) -> str:
    if not others:
        return ""
    return f"; it would make {others:,} other {'order' if others == 1 else 'orders'} late"


def say_hands(hands: Hands) -> str:
    """What one more pair of hands would do for all that may be late."""
    if hands.in_time == hands.of:
        return f"With one more at {hands.station} all {hands.of:,} would be in time."
    return f"With one more at {hands.station} {hands.in_time:,} of {hands.of:,} would be in time."


def say_risk(due_at: datetime, latest: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Due, and ready when."""
    due = f"{'was due' if due_at < now else 'due'} {say_time(due_at, now, zone)}"
    return f"{due}, at the latest ready {say_time(latest, now, zone)}"


def say_more(more: int) -> str:
    """Orders at risk that are not listed."""
    return f"And {more:,} more."


make_spoken(__name__, de="tickets.german.risk")
