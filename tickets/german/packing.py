"""German: packing slips and parcel labels."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from tickets.german import general
from tickets.german.floor import listed
from tickets.german.numbers import short
from tickets.packing import Packed, PackLine
from tickets.wording_packing import print_line as print_line
from tickets.wording_packing import sizes as sizes

if TYPE_CHECKING:
    from tickets.wording_packing import PackedParcel, Slip

ORDER, CUSTOMER, YOUR_REFERENCE, SHIP_TO = "Auftrag", "Kunde", "Ihre Nr.", "Lieferanschrift"
IN_THIS_DISPATCH, STILL_TO_FOLLOW, SENT_BEFORE = "In dieser Lieferung", "Folgt noch", "Schon geliefert"
PARCELS, PARCEL, WEIGHT, CONSIGNMENT = "Pakete", "Paket", "Gewicht", "Sendungsnummer"
CONTINUED, VOID = "(Fortsetzung)", "UNGÜLTIG"
NOTHING_FOLLOWS = "Es folgt nichts mehr: der Auftrag ist damit vollständig."
NOTHING_IN_IT = "Nichts: was darin war, wurde zurückgenommen."
NO_PARCELS = "Davon ist noch kein Paket eingetragen."
UNEVEN = "Die Drucke dieser Textilien sind verschieden viele: bitte die Textilien zählen."
_UNITS = {
    "garments": "Textilien",
    "garment": "Textil",
    "transfers": "Transfers",
    "transfer": "Transfer",
}


def slip(number: int) -> str:
    """What the paper is called."""
    return f"Lieferschein {number}"


def page_of(page: int, pages: int) -> str:
    """Which page of how many."""
    return f"Seite {page} von {pages}"


def kind_of(*, is_part: bool, is_rest: bool) -> str:
    """What sort of dispatch it is, as a flag."""
    if is_part:
        return "TEILLIEFERUNG"
    return "RESTLIEFERUNG" if is_rest else "VOLLSTÄNDIG"


def left_on(at: datetime, collected_by: str) -> str:
    """When it left the house, in the shop's time."""
    when = general.day(at)
    return f"Abgeholt am {when} von {collected_by}" if collected_by else f"Gepackt am {when}"


def line_name(line: PackLine) -> str:
    """What there are so many of."""
    unit = _UNITS.get(line.unit, line.unit)
    name = f"{unit}: {line.name}" if line.name else unit
    if line.ordered == line.count and not line.cancelled:
        return name
    gone = f", {line.cancelled} storniert" if line.cancelled else ""
    return f"{name} (von {line.ordered} bestellten{gone})"


def more_prints(count: int) -> str:
    """What is not named one by one."""
    return f"und {count} weitere Drucke"


def total(packed: Packed, parcels: int) -> str:
    """The sum of a dispatch."""
    garments, transfers = packed.garments, packed.transfers
    said = []
    if garments or not transfers:
        said.append(f"{garments} {'Textil' if garments == 1 else 'Textilien'}")
    if transfers:
        said.append(f"{transfers} {'Transfer' if transfers == 1 else 'Transfers'}")
    in_ = f", in {parcels} {'Paket' if parcels == 1 else 'Paketen'}" if parcels else ""
    return f"Zusammen: {listed(said)}{in_}"


def weight(kilograms: float) -> str:
    """A weight as it is read: 2,35 kg."""
    return f"{short(kilograms)} kg"


def parcel_line(number: int, weight_kg: float | None, consignment: str, sscc: str) -> str:
    """One parcel in a line."""
    parts = [f"Paket {number}"]
    if weight_kg is not None:
        parts.append(weight(weight_kg))
    if consignment:
        parts.append(f"Sendungsnummer {consignment}")
    if sscc:
        parts.append(f"SSCC {sscc}")
    return "  ·  ".join(parts)


def if_something_is_wrong(contact: Sequence[str]) -> str:
    """What to do about a parcel that is not as the slip says."""
    how = " oder ".join(contact)
    return f"Fehlt etwas, oder stimmt etwas nicht? Bitte bald melden{f': {how}' if how else '.'}"


def say_slip(slip_: Slip, zone: ZoneInfo) -> list[str]:
    """A slip in a few lines."""
    packed = slip_.packed
    when = left_on(slip_.at.astimezone(zone), slip_.collected_by)
    head = f"{slip(slip_.number)} von {slip_.order}. {total(packed, 0)}. {when}."
    if slip_.voided_at is not None:
        head = f"{slip(slip_.number)} von {slip_.order} ist UNGÜLTIG: der Versand ist zurückgenommen."
    lines = [f"  {line.count} {line_name(line)}" for line in packed.here]
    follows = [f"  folgt noch: {line.count} {line_name(line)}" for line in packed.follows]
    return [head, *lines, *follows]


def say_parcel(parcel: PackedParcel) -> str:
    """A parcel in a line, with what became of it."""
    line = parcel_line(parcel.number, parcel.weight_kg, parcel.consignment, parcel.sscc)
    went = f"ging mit Lieferschein {parcel.slip}" if parcel.slip is not None else "wartet auf den Versand"
    return f"{line}  ·  {went}"
