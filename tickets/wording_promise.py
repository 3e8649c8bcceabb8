"""What is said about an order that is not placed yet: by which day it can be had, and whom it would delay."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from tickets.languages import make_spoken
from tickets.problems import BadInput, ShopProblem
from tickets.wording_floor import listed
from tickets.wording_where import say_day, say_time

PROMISE, ASK_PROMISE = "By when can it be ready?", "Tell the day"
PROMISE_HINT = "Whatever the caller can tell: how many, how large, by when. No artwork is needed."
ITEM, PIECES, WIDTH, HEIGHT, SERVICE = "Item", "Pieces", "Width in mm", "Height in mm", "What for"
RUSH_JOB, WISHED = "As a rush job", "Wished by"
SERVICES = {"pressed": "pressed on garments", "transfers": "transfers only"}
OTHERS, ASSUMED, WOULD_BE_ASKED = "The other orders", "Taken for granted", "Would be asked"
_MOST_NAMED, SURE = 5, 0.9


def say_what(pieces: int, items: int) -> str:
    """What is promised, and on which condition."""
    count = "1 piece" if pieces == 1 else f"{pieces:,} pieces"
    more = f" in {items} items" if items > 1 else ""
    return f"{count}{more}, if the order comes now and its artwork is clear"


def say_offer(due_at: datetime, expected: str, now: datetime, zone: ZoneInfo) -> str:
    """By which day it can be promised; `expected` as it is said of orders in work."""
    return f"It can be promised for {say_day(due_at, now, zone)}: {expected}."


def say_wished(due_at: datetime, holds: float, promised: datetime, now: datetime, zone: ZoneInfo) -> str:
    """How sure the day is that the caller wishes; `promised`: the earliest day that holds."""
    said = f"Wished by {say_day(due_at, now, zone)}: that holds {_share(holds)}"
    if holds >= SURE or promised > due_at:
        return f"{said}."
    return f"{said} behind what is due before it; due {say_day(promised, now, zone)} it is ready by then."


def say_rush(due_at: datetime, others: str, now: datetime, zone: ZoneInfo) -> str:
    """What it would be as a rush job."""
    return f"As a rush job: {say_day(due_at, now, zone)}. {others}"


def say_harmless(due_at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The day on which nobody pays for it."""
    return f"Promised for {say_day(due_at, now, zone)} instead, it makes nobody late."


def say_others(pushed: Sequence[str], worse: Sequence[str]) -> str:
    """What it does to the other orders; each is named with its own times already."""
    if not pushed and not worse:
        return "No other order would be late by it."
    said = []
    if pushed:
        said.append(f"It would make late: {_named(pushed)}.")
    if worse:
        said.append(f"Late anyway, and later by it: {_named(worse)}.")
    return " ".join(said)


def say_pushed(
    order: str, due_at: datetime, then: datetime, late: float, now: datetime, zone: ZoneInfo
) -> str:
    """An order that would no longer hold its day, and by how much."""
    return (
        f"{order} (due {say_time(due_at, now, zone)}, then at the latest {say_time(then, now, zone)}, "
        f"{say_work(late)} of work late)"
    )


def say_worse(order: str, later: float) -> str:
    """An order that is late already, and how much more."""
    return f"{order} (by {say_work(later)} of work)"


def say_work(minutes: float) -> str:
    """So much working time: 20 min, 1 h 30 min. Less than five minutes is within what nobody can tell."""
    whole = max(5, round(minutes / 5) * 5)
    hours, rest = divmod(whole, 60)
    return " ".join([*([f"{hours} h"] if hours else []), *([f"{rest} min"] if rest else [])])


def square_assumed(item: int, mm: float, side: str) -> str:
    """Nobody said how high or wide it is."""
    return f"The {side} of item {item} is not known: it is taken to be as {_AS[side]}, {mm:g} mm."


def artwork_assumed(order: str, item: int) -> str:
    """Its shape is that of an earlier order's artwork."""
    return f"Item {item} has the shape of its artwork in {order}."


def asked_too_large(item: int, width_mm: float, height_mm: float, printable_mm: float) -> BadInput:
    """No film is that wide."""
    return BadInput(
        "promise-too-large",
        f"Item {item} is {width_mm:g} × {height_mm:g} mm: wider than the film both ways, which takes "
        f"{printable_mm:g} mm.",
        "Ask for a smaller print, or for one in parts.",
    )


def file_not_read(path: str, why: str) -> BadInput:
    """The order file that was named is not there, or may not be read."""
    return BadInput("promise-file", f"{path} cannot be read: {why}.", "Name an order file, or - for stdin.")


def already_placed(number: str) -> ShopProblem:
    """It is in the books: there is nothing left to promise."""
    return ShopProblem(
        "promise-placed",
        f"{number} is in the books already.",
        f"Ask where it is: filmdocket where {number}",
    )


def not_in_sight() -> ShopProblem:
    """The line is full for longer than the calendar goes."""
    return ShopProblem(
        "promise-not-in-sight",
        "No day is in sight by which this would be ready: it is more work than the line does in two years.",
        "Look at the quantities, and at the paces and hours in [line] of shop.toml.",
    )


_AS = {"height": "high as it is wide", "width": "wide as it is high"}


def _share(holds: float) -> str:
    tenths = round(holds * 10)
    if holds >= SURE:
        return "in nine cases of ten or more"
    return f"in {tenths} of 10 cases" if tenths else "in hardly any case"


def _named(told: Sequence[str]) -> str:
    more = len(told) - _MOST_NAMED
    return listed([*told[:_MOST_NAMED], *([f"{more} more"] if more > 0 else [])])


make_spoken(__name__, de="tickets.german.promise")
