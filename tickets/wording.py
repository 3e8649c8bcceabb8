"""The sentences that customers and the floor read on papers, in reports, in messages and about codes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from config.settings import PressSetting

# Codes

SCAN_ONE = "Scan one at a time."
NO_CODE_THERE = "There is no code in what was typed."
TYPE_CODE = "Scan the QR code, or type the large letters beside it as they stand."


def several_codes(codes: Sequence[str]) -> str:
    """More than one code came in at once."""
    return f"Several codes came in at once: {', '.join(codes)}."


def code_has_strange(typed: str, strange: Sequence[str]) -> str:
    """The text has characters that no code has."""
    shown = " ".join(strange[:5])
    return f"“{typed}” is no code: {shown} {'is' if len(strange) == 1 else 'are'} never part of one."


def code_length(typed: str, length: int, wanted: int) -> str:
    """The text is too short or too long."""
    short = "short" if length < wanted else "long"
    which = "a ticket code has" if wanted == 7 else "a run code has at least"
    return f"“{typed}” is too {short} for a code: it has {length} characters, {which} {wanted}."


def code_fails_check(code: str) -> str:
    """The check character doesn't fit."""
    return f"One character of {code} is wrong, or two are swapped: its check character does not fit."


# Fonts


def font_not_used(named: str, why: str) -> str:
    """A font file of the shop's that can't be used."""
    return f"The font file {named} is not used: {why}."


# QR codes


def qr_too_long(characters: int) -> tuple[str, str]:
    """The address in the QR code is too long to print it with modules that scanners read."""
    says = f"The text of the QR code is {characters} characters long: its squares would be too small to scan."
    return says, "Choose a shorter shop.ticket_url in shop.toml, or leave it empty to print the bare code."


# Job tickets

JOB_TICKET = "Job ticket"
TICKET = "Ticket"
ORDER = "Order"
CUSTOMER = "Customer"
DUE = "Due"
PIECES = "Pieces"
PRINT_SIZE = "Print size"
PLACEMENT = "Placement"
FILM = "Film"
ARTWORK = "Artwork"
GARMENT = "Garment"
SIZES = "Sizes"
NOTE = "Note"
STATIONS = "Tick here when the network is down"
GOOD, SPOILED, BY, AT = "Good", "Spoiled", "By", "Time"
RUSH = "RUSH"
TRANSFERS_ONLY = "TRANSFERS ONLY"
NO_GARMENT = "transfers only: no garment"
NO_PICTURE = "No picture of the artwork"
NO_DUE_DAY = "no day named"
PRESS = "Press"
HEAT, TIME, PRESSURE, PEEL, SECOND_PRESS = "Heat", "Time", "Pressure", "Peel", "Second press"
NO_PRESS_SETTING = (
    "The shop has no setting for this film and cloth: see the maker's data sheet, and try a garment."
)
CUSTOMER_PRESSES = "Pressed by the customer; peel as the film's maker says."
MIRRORED = "The art arrives mirrored: do not mirror it again."
MAY_NOT_TURN = "Do not turn it on the film."
TEXT_WAS_CUT = "“…” marks text that did not fit; the order has all of it."
CAUTIONS = (
    "Hot platens and ovens burn.",
    "Curing gives off vapour: run the extraction.",
    "Powder is dust: keep it out of lungs and away from flames.",
    "Presses pinch: hands clear before it closes.",
)
CAUTIONS_DEFER = (
    "The makers' instructions, the safety data sheet, local rules and a competent person come first."
)
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(when: datetime | date | str | None) -> str:
    """A due day as the floor reads it (Fri 4 Dec 2026), with its time if any; other words as they are."""
    if when is None or when == "":
        return NO_DUE_DAY
    if isinstance(when, str):
        try:
            when = date.fromisoformat(when)
        except ValueError:
            return str(when)
    text = f"{_DAYS[when.weekday()]} {when.day} {_MONTHS[when.month - 1]} {when.year}"
    return f"{text}, {when:%H:%M}" if isinstance(when, datetime) else text


def item_of(item: int, items: int) -> str:
    """Which item of the order it is."""
    return f"Item {item} of {items}"


def reprint_of(code: str) -> str:
    """What a reprint replaces."""
    return f"REPRINT OF {code}"


def length_mm(value: float) -> str:
    """A length for people: to a tenth of a millimetre, without an idle zero."""
    return f"{value:.1f}".removesuffix(".0") + " mm"


def size_mm(width: float, height: float) -> str:
    """A print size."""
    return f"{length_mm(width).removesuffix(' mm')} × {length_mm(height)}"


def celsius(value: float) -> str:
    """A platen's temperature."""
    return f"{value:g} °C"


def seconds(value: float) -> str:
    """A pressing time."""
    return f"{value:g} s"


def whose_press_setting(film: str, fabric: str) -> str:
    """What the setting is for, and that it is the shop's own."""
    return f"{film} on {fabric}: the shop's own setting, from the maker's data sheet; a test garment decides"


def press_line(press: PressSetting) -> str:
    """A whole press setting in one line."""
    said = [celsius(press.temperature_c), seconds(press.seconds), f"{press.pressure} pressure"]
    said.append(f"peel {press.peel}")
    if press.second_press_seconds:
        said.append(f"then {seconds(press.second_press_seconds)} more")
    return "; ".join([", ".join(said), *([press.note] if press.note else [])])


def same_garments(garment_set: str) -> str:
    """Prints that share their garments."""
    return f"same garments as set “{garment_set}”"


def answered(answer: str) -> str:
    """What the customer said to the question."""
    return f"The customer answered: {answer}"


def characters_missing(characters: Sequence[str]) -> str:
    """Characters that no font has; printed as boxes with their numbers."""
    numbers = " ".join(f"U+{ord(c):04X}" for c in characters[:12]) + (" …" if len(characters) > 12 else "")
    return f"No font has {numbers}: printed as boxes; see the order for the name."
