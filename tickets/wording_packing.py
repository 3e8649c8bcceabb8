"""The words of packing slips and parcel labels."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from tickets import wording
from tickets.languages import make_spoken
from tickets.packing import Packed, PackLine, Print
from tickets.wording_floor import listed


class Slip(Protocol):
    """A packing slip as the books have it."""

    @property
    def number(self) -> int:
        """Its number within the order."""
        ...

    @property
    def order(self) -> str:
        """The order's number."""
        ...

    @property
    def at(self) -> datetime:
        """When it was packed."""
        ...

    @property
    def voided_at(self) -> datetime | None:
        """When it became void."""
        ...

    @property
    def collected_by(self) -> str:
        """Who came for it."""
        ...

    @property
    def packed(self) -> Packed:
        """What it lists."""
        ...


ORDER = "Order"
CUSTOMER = "Customer"
YOUR_REFERENCE = "your reference"
SHIP_TO = "Ship to"
IN_THIS_DISPATCH = "In this dispatch"
STILL_TO_FOLLOW = "Still to follow"
SENT_BEFORE = "Sent before"
PARCELS = "Parcels"
PARCEL = "Parcel"
WEIGHT = "Weight"
CONSIGNMENT = "Consignment"
CONTINUED = "(continued)"
VOID = "VOID"
NOTHING_FOLLOWS = "Nothing is to follow: this completes the order."
NOTHING_IN_IT = "Nothing: what was in it was taken back."
NO_PARCELS = "No parcel of it is noted yet."
UNEVEN = "The prints of these garments differ in number: please count the garments."


def slip(number: int) -> str:
    """What the paper is called."""
    return f"Packing slip {number}"


def page_of(page: int, pages: int) -> str:
    """Which page of how many."""
    return f"Page {page} of {pages}"


def kind_of(*, is_part: bool, is_rest: bool) -> str:
    """What sort of dispatch it is, as a flag."""
    if is_part:
        return "PART OF THE ORDER"
    return "THE REST OF THE ORDER" if is_rest else "THE WHOLE ORDER"


def left_on(at: datetime, collected_by: str) -> str:
    """When it left the house, in the shop's time."""
    when = wording.day(at)
    return f"Collected on {when} by {collected_by}" if collected_by else f"Packed on {when}"


def line_name(line: PackLine) -> str:
    """What there are so many of."""
    name = f"{line.unit}: {line.name}" if line.name else line.unit
    if line.ordered == line.count and not line.cancelled:
        return name
    gone = f", {line.cancelled} cancelled" if line.cancelled else ""
    return f"{name} (of {line.ordered} ordered{gone})"


def print_line(print_: Print, line: PackLine) -> str:
    """One print of a line; its number where it is not that of the line."""
    count = f"{print_.count} × " if print_.count != line.count else ""
    where = f", {print_.placement}" if print_.placement else ""
    return f"{print_.item}. {count}{print_.artwork}{where}"


def more_prints(count: int) -> str:
    """What is not named one by one."""
    return f"and {count} more prints"


def sizes(counts: Sequence[tuple[str, int]]) -> str:
    """How many of each size."""
    return "   ".join(f"{size} {count}" for size, count in counts)


def total(packed: Packed, parcels: int) -> str:
    """The sum of a dispatch."""
    garments, transfers = packed.garments, packed.transfers
    said = []
    if garments or not transfers:
        said.append(f"{garments} {'garment' if garments == 1 else 'garments'}")
    if transfers:
        said.append(f"{transfers} {'transfer' if transfers == 1 else 'transfers'}")
    in_ = f", in {parcels} {'parcel' if parcels == 1 else 'parcels'}" if parcels else ""
    return f"In all: {listed(said)}{in_}"


def weight(kilograms: float) -> str:
    """A weight as it is read: 2.35 kg."""
    return f"{kilograms:.3f}".rstrip("0").rstrip(".") + " kg"


def parcel_line(number: int, weight_kg: float | None, consignment: str, sscc: str) -> str:
    """One parcel in a line."""
    parts = [f"Parcel {number}"]
    if weight_kg is not None:
        parts.append(weight(weight_kg))
    if consignment:
        parts.append(f"consignment {consignment}")
    if sscc:
        parts.append(f"SSCC {sscc}")
    return "  ·  ".join(parts)


def if_something_is_wrong(contact: Sequence[str]) -> str:
    """What to do about a parcel that is not as the slip says."""
    how = " or ".join(contact)
    return f"Is something missing or wrong? Please tell us soon{f': {how}' if how else '.'}"


def say_slip(slip_: Slip, zone: ZoneInfo) -> list[str]:
    """A slip in a few lines."""
    packed = slip_.packed
    when = left_on(slip_.at.astimezone(zone), slip_.collected_by)
    head = f"{slip(slip_.number)} of {slip_.order}: {total(packed, 0)}. {when}."
    if slip_.voided_at is not None:
        head = f"{slip(slip_.number)} of {slip_.order} is VOID: its dispatch was taken back."
    lines = [f"  {line.count} {line_name(line)}" for line in packed.here]
    follows = [f"  still to follow: {line.count} {line_name(line)}" for line in packed.follows]
    return [head, *lines, *follows]


class PackedParcel(Protocol):
    """A parcel as the books have it."""

    @property
    def number(self) -> int:
        """Its number within the order."""
        ...

    @property
    def weight_kg(self) -> float | None:
        """What it weighs."""
        ...

    @property
    def consignment(self) -> str:
        """The carrier's number."""
        ...

    @property
    def sscc(self) -> str:
        """Its serial shipping container code."""
        ...

    @property
    def slip(self) -> int | None:
        """The packing slip that it went with."""
        ...


def say_parcel(parcel: PackedParcel) -> str:
    """A parcel in a line, with what became of it."""
    line = parcel_line(parcel.number, parcel.weight_kg, parcel.consignment, parcel.sscc)
    went = f"went with packing slip {parcel.slip}" if parcel.slip is not None else "waits for dispatch"
    return f"{line}  ·  {went}"


make_spoken(__name__, de="tickets.german.packing")
