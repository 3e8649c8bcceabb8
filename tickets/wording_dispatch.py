"""The sentences of dispatch: what was remade, packed, put on the shelf or collected, and why it can't be."""

from __future__ import annotations

from tickets.problems import BadInput, ShopProblem
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
