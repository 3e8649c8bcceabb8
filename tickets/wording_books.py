"""The sentences of the order book: what became of a dropped order or artwork, and of a question about it."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.languages import make_spoken
from tickets.wording_floor import listed, pieces


def order_taken(order: str, items: int) -> str:
    """A new order is in the books."""
    return f"{order} is taken with {items} {'item' if items == 1 else 'items'}."


def order_again(order: str) -> str:
    """The same order file with the same artwork."""
    return f"{order} came again just as before; nothing was changed."


def order_conflict(order: str) -> str:
    """The number of an order that is in the books, on another content."""
    return (
        f"{order} is in the books already with other content; this one was not taken. Give it a number of "
        "its own, or cancel what is in the books."
    )


def artwork_conflict(orders: Sequence[str], artwork: str, has_begun: bool) -> str:
    """New bytes for artwork that is at work."""
    state = "printing has begun" if has_begun else "it is accepted already"
    return (
        f"{artwork} came again with other content, but for {listed(list(orders))} {state}; it was not taken. "
        "Cancel the old pieces and order anew, or go on with the first file."
    )


def artwork_again(artwork: str, orders: Sequence[str]) -> str:
    """The same bytes once more."""
    return f"{artwork} came again just as {listed(list(orders))} has it; nothing was changed."


def artwork_revised(artwork: str, orders: Sequence[str]) -> str:
    """New bytes for artwork that has a question open or was refused."""
    return f"{artwork} is taken as new artwork for {listed(list(orders))} and will be checked."


def held(code: str, why: str) -> str:
    """A hold was put on."""
    return f"{code} is held: {why}."


def hold_ended(code: str) -> str:
    """A hold was taken off."""
    return f"{code} is held no longer."


def repaired(code: str, repairs: Sequence[str]) -> str:
    """The shop's own repair was booked."""
    return f"The artwork of {code} was repaired ({listed(list(repairs))}); the customer's file is kept."


def question_answered(codes: Sequence[str], hold_on: str, why: str | None) -> str:
    """A query was answered; a hold may still stand."""
    verb = "is" if len(codes) == 1 else "are"
    said = f"The question about {listed(list(codes))} {verb} answered."
    if why is not None:
        said += f" {hold_on} is still held: {why}; release it once more to end that."
    return said


def cancelled(code: str, count: int, left: int) -> str:
    """Pieces were cancelled."""
    rest = f"; {pieces(left)} {'goes' if left == 1 else 'go'} on" if left else "; nothing of it is left"
    return f"{pieces(count)} of {code} {'is' if count == 1 else 'are'} cancelled{rest}."


make_spoken(__name__, de="tickets.german.books")
