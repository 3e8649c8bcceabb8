"""The sentences about parcels and the ready shelf: what was noted, and why it can't be."""

from __future__ import annotations

from tickets.languages import make_spoken
from tickets.problems import BadInput, NotFound, ShopProblem


def parcel_added(order: str, number: int, sscc: str, slip: int | None) -> str:
    """A parcel was noted."""
    code = f" as SSCC {sscc}" if sscc else ""
    goes = f"goes with packing slip {slip}" if slip is not None else "waits for the next dispatch"
    return f"Parcel {number} of {order} is noted{code}; it {goes}."


def parcel_changed(order: str, number: int) -> str:
    """A parcel has another weight or consignment number."""
    return f"Parcel {number} of {order} is changed: print its label again."


def parcel_removed(order: str, number: int, sscc: str) -> str:
    """A parcel is none any more."""
    kept = f" Its SSCC {sscc} is never given again." if sscc else ""
    return f"Parcel {number} of {order} is taken out of the books: put its label away.{kept}"


def shelved(order: str, place: str) -> str:
    """Where an order lies, or that it lies nowhere."""
    return f"{order} lies on shelf {place}." if place else f"{order} is on no shelf any more."


def parcel_of_an_order(named: str) -> BadInput:
    """A ticket or run instead of an order."""
    return BadInput(
        "parcel-of-an-order",
        f"{named} is no order: parcels and shelves belong to whole orders.",
        "Give the number of the order.",
    )


def nothing_to_pack(order: str) -> ShopProblem:
    """A parcel of an order with nothing in it."""
    return ShopProblem(
        "nothing-to-pack",
        f"{order} has no pieces that are or were to leave the house: all are cancelled or refused.",
        "Give the number of another order.",
    )


def no_such_parcel(order: str, number: int) -> NotFound:
    """A parcel of a number that was never given, or taken out."""
    return NotFound(
        "no-such-parcel",
        f"{order} has no parcel {number}.",
        f"See its parcels with `filmdocket parcel list {order}`.",
    )


def bad_weight(most_g: int) -> BadInput:
    """No weight, or more than anybody carries."""
    return BadInput(
        "bad-weight",
        f"A parcel weighs more than 0 kg and at most {most_g // 1000:,} kg.",
        "Give its weight in kilograms, such as 2.35.",
    )


def bad_consignment(length: int, most: int) -> BadInput:
    """A number that is a text."""
    return BadInput(
        "bad-consignment",
        f"The consignment number has {length} characters; at most {most} are kept.",
        "Give the carrier's number alone.",
    )


def bad_shelf(length: int, most: int) -> BadInput:
    """The name of a place that is a text."""
    return BadInput(
        "bad-shelf",
        f"The name of the shelf has {length} characters; at most {most} are kept.",
        "Give a short name, such as B3.",
    )


def nothing_to_change(order: str, number: int) -> BadInput:
    """A change of a parcel that changes nothing."""
    return BadInput(
        "nothing-to-change",
        f"Parcel {number} of {order} is to be changed, but to what?",
        "Give its weight, its consignment number, or both.",
    )


def which_parcel(named: str) -> BadInput:
    """A parcel that is not named as one."""
    return BadInput(
        "which-parcel",
        f"“{named}” names no parcel.",
        "Name it by order and number, such as OB-1042/2.",
    )


make_spoken(__name__, de="tickets.german.parcels")
