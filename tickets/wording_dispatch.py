"""The sentences of dispatch: what was remade, packed, put on the shelf or collected, and why it can't be."""

from __future__ import annotations

from tickets.languages import make_spoken
from tickets.problems import BadInput, NotFound, ShopProblem
from tickets.wording_floor import pieces


def remade(code: str, count: int, first: str, reprint: str) -> str:
    """Pieces that came back, or were short, are made again."""
    back = "counts as spoiled" if count == 1 else "count as spoiled"
    verb = "starts" if count == 1 else "start"
    return (
        f"{pieces(count)} of {code} that had left the house {back} and {verb} again at {first} as {reprint}, "
        "in a rush; the order is open again."
    )


def garments_too(garment_set: str) -> str:
    """What to think of when one of several prints on a garment is made again."""
    shared = f"Other prints of {garment_set!r} are on the same garments"
    return f"{shared}: remake those too if the garments are lost."


def remake_taken_back(code: str, count: int, reprint: str) -> str:
    """A remake was undone."""
    return (
        f"The remake of {pieces(count)} of {code} is taken back: they count as dispatched. "
        f"The reprint {reprint} is withdrawn; put its paper away."
    )


def goes_with_slip(number: int) -> str:
    """What was dispatched gets a packing slip."""
    return f"Packing slip {number} goes with it."


def slip_void(order: str, number: int) -> str:
    """All that a packing slip listed was taken back."""
    return f"Packing slip {number} of {order} is void: take it out of the parcel."


def slip_changed(order: str, number: int) -> str:
    """A part of what a packing slip listed was taken back."""
    return f"Packing slip {number} of {order} has changed: print it again, and put the old one away."


def collected_at_dispatch_only(station: str, last: str) -> BadInput:
    """Somebody is to have collected what is not dispatched."""
    return BadInput(
        "collected-at-dispatch-only",
        f"Pieces are handed over at {last}; this scan is at {station}.",
        f"Leave --collected-by out, or scan at {last}.",
    )


def nothing_packed_yet(order: str) -> ShopProblem:
    """A packing slip of an order of which nothing has left the house."""
    return ShopProblem(
        "nothing-packed-yet",
        f"Nothing of {order} has been dispatched yet, or all of it before this program made packing slips.",
        "The packing slip is made when pieces are scanned at dispatch.",
    )


def no_such_slip(order: str, number: int, slips: int) -> NotFound:
    """A packing slip of a number that was never given."""
    return NotFound(
        "nothing-packed-yet",
        f"{order} has no packing slip {number}.",
        f"Its slips: 1 to {slips}." if slips > 1 else "It has one: 1.",
    )


def more_than_dispatched(code: str, asked: int, dispatched: int, where: str) -> ShopProblem:
    """A remake of more pieces than have left the house."""
    gone = (
        f"only {dispatched} of it {'has' if dispatched == 1 else 'have'}" if dispatched else "none of it has"
    )
    return ShopProblem(
        "more-than-dispatched",
        f"{pieces(asked).capitalize()} of {code} cannot be remade: {gone} left the house ({where}).",
        "What is still in the house is booked as spoiled with `filmdocket scan`; for what was remade before, "
        "name its own ticket.",
    )


def remake_needs_ticket(order: str, codes: list[str]) -> BadInput:
    """A remake of an order instead of a ticket."""
    return BadInput(
        "which-ticket",
        f"{order} is an order: a remake is of one ticket. Its tickets with pieces that have left the house: "
        f"{', '.join(codes) or 'none'}.",
        "Name the ticket; its code stands on the packing slip and in `filmdocket where`.",
    )


make_spoken(__name__, de="tickets.german.dispatch")
