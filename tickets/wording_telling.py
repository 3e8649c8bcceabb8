"""The sentences about messages to customers: what became of them, and why one can't be."""

from __future__ import annotations

from datetime import datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from tickets.problems import ShopProblem


class Told(Protocol):
    """A message as the list of them has it."""

    @property
    def order(self) -> str:
        """The order's number."""
        ...

    @property
    def customer(self) -> str:
        """Whose order it is."""
        ...

    @property
    def kind(self) -> str:
        """What it tells."""
        ...

    @property
    def standing(self) -> str:
        """Due, written, sent…"""
        ...

    @property
    def due_at(self) -> datetime:
        """Not written before."""
        ...

    @property
    def written_at(self) -> datetime | None:
        """When it was written."""
        ...

    @property
    def file(self) -> str:
        """Its name in the outbox."""
        ...

    @property
    def says(self) -> str:
        """What else there is to say."""
        ...


NO_ADDRESS = "The order names no e-mail address that a mail program takes: call, or write to them yourself."
NOTHING_TOLD = "No message to a customer was written yet."


def late_is_told(order: str) -> str:
    """A message about a new day is due."""
    return f"The customer of {order} is told of the new day: the message lies in the outbox in a moment."


def late_told_before(order: str) -> str:
    """The customer knows of that day, or of a later one."""
    return f"The customer of {order} was told of that day, or of a later one, before; nothing is written."


def not_late(order: str) -> ShopProblem:
    """A new day that is not behind the one that was asked for."""
    return ShopProblem(
        "not-late",
        f"{order} names no day that it is due, or the new one is not later.",
        "Give the day when it will be ready; only one that is later than the due day is told.",
    )


def nothing_is_late(named: str) -> ShopProblem:
    """An order that is done, or something that is no order."""
    return ShopProblem(
        "nothing-is-late",
        f"{named} is no order with anything left to do.",
        "Give the number of an open order.",
    )


def say_telling(told: Told, zone: ZoneInfo) -> str:
    """One message in a line."""
    at = (told.written_at or told.due_at).astimezone(zone)
    when = f"{'due' if told.standing == 'due' else told.standing} {at:%Y-%m-%d %H:%M}"
    file = f"  outbox: {told.file}" if told.file else ""
    return f"{told.order}  {told.customer}  {told.kind}  {when}{file}{f'  {told.says}' if told.says else ''}"
