"""What a shop can do for an order that may be late, and what the best of it brings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Change(StrEnum):
    """What a shop can do for one order."""

    RUSH = "rush"
    HANDS = "hands"  # one more pair of them at a station
    SPLIT = "split"  # each of its tickets is passed on in two halves
    PART = "part"  # what is ready by its day goes in part


@dataclass(frozen=True, slots=True)
class Help:
    """The one change. `latest`: when all is ready with it in nine futures of ten; `holds`: that is in time.

    `pushes`: how many other orders it makes late that are in time without it.
    Of PART, `pieces` of `of` that are still in work are ready by its day, and `latest` is None.
    """

    change: Change
    latest: datetime | None = None
    holds: bool = False
    station: str = ""
    pieces: int = 0
    of: int = 0
    pushes: int = 0


@dataclass(frozen=True, slots=True)
class Hands:
    """One more pair of hands where it helps most orders at risk: `in_time` of the `of` that are then."""

    station: str
    in_time: int
    of: int
