"""The sentences about messages to customers: what became of them, and why one can't be."""

from __future__ import annotations

from datetime import datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from tickets.languages import make_spoken
from tickets.problems import NotFound, ShopProblem


class Told(Protocol):
    """A message as the list of them has it."""

    @property
    def telling_id(self) -> int:
        """Its number."""
        ...

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
HANDED_OVER = (
    "Handed to the mail server, which has not answered: it may have arrived. It is not sent again by itself."
)
NOTHING_TOLD = "No message to a customer was written yet."


def late_is_told(order: str) -> str:
    """A message about a new day is due."""
    return f"The message to the customer of {order} about the new day lies in the outbox."


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


def no_such_message(number: int) -> NotFound:
    """A message of a number that is none, or that is not written."""
    return NotFound(
        "no-such-message",
        f"There is no written message {number}.",
        "See the numbers of messages with `filmdocket messages list`.",
    )


def not_sent_by_mail(kind: str) -> ShopProblem:
    """A message that is to be sent where none is."""
    return ShopProblem(
        "not-sent-by-mail",
        f"Messages of this kind ({kind}) are not sent by mail here.",
        "Open the file in a mail program and send it, or set smtp.host and messages.send.",
    )


def no_address(kind: str) -> ShopProblem:
    """A message to nobody."""
    return ShopProblem(
        "not-sent-by-mail", f"This message ({kind}) has no address that a mail program takes.", NO_ADDRESS
    )


def is_sent_again(kind: str, address: str) -> str:
    """A message is on its way once more."""
    return f"The message ({kind}) is sent to {address} once more, in a moment."


def say_telling(told: Told, zone: ZoneInfo) -> str:
    """One message in a line."""
    at = (told.written_at or told.due_at).astimezone(zone)
    when = f"{'due' if told.standing == 'due' else told.standing} {at:%Y-%m-%d %H:%M}"
    file = f"  outbox: {told.file}" if told.file else ""
    head = f"{told.telling_id}  {told.order}  {told.customer}"
    return f"{head}  {told.kind}  {when}{file}{f'  {told.says}' if told.says else ''}"


def server_says(code: int, words: bytes | str) -> str:
    """The mail server's own words, in one line without controls."""
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())[:300]
    return f"The mail server refuses it: {code} {plain}."


def login_refused() -> str:
    """The server does not let the shop in."""
    return "The mail server refuses smtp.user or its password. Mend them; it is tried again."


def password_away() -> str:
    """The file with the password cannot be read."""
    return "The file smtp.password_file cannot be read. Mend it; it is tried again."


def not_secure(why: str) -> str:
    """No safe way to the server."""
    return f"There is no encrypted way to the mail server as smtp.security wants it: {why}."


def server_away(why: str) -> str:
    """The server cannot be reached, or went away before it had all of it."""
    return f"The mail server cannot be reached, or hung up: {why}."


def file_is_away(name: str) -> str:
    """The message's file is gone."""
    return f"{name} is no longer in the outbox."


make_spoken(__name__, de="tickets.german.telling")
