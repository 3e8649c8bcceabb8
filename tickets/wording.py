"""The sentences that customers and the floor read on papers, in reports, in messages and about codes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from tickets.languages import make_spoken

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


def more_sizes(count: int) -> str:
    """So many sizes for which there is no cell."""
    return f"{count} more…"


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


# Artwork reports

ARTWORK_REPORT = "Artwork report"
MEASURED, LIMIT = "Measured", "Our limit"
WHAT_TO_DO = "What to do:"
NO_ART_TO_SHOW = "The file could not be opened, so there is nothing to show."
NOTHING_FOUND = "We looked at resolution, transparency, lines, gaps and size, and found nothing in the way."
REPORT_LIMITS = (
    "Limits are this shop's own, common practice of the trade. Measured at the print size named above; "
    "numbers point at the worst places."
)
VERDICTS = {
    "clear": "Nothing stands in the way of printing this artwork.",
    "query": "We have a question before we print this artwork.",
    "refuse": "We cannot print this artwork as it is.",
}
LEVELS = {"refuse": "cannot be printed", "query": "question", "note": "for your information"}
CHECKS = {
    "file": "The file",
    "pages": "Pages",
    "empty": "Nothing to print",
    "fit": "Fit on the film",
    "shape": "Shape",
    "margins": "Empty margins",
    "resolution": "Resolution",
    "background": "Background box",
    "soft": "Soft, half-transparent parts",
    "screened": "Screens and grain",
    "line-width": "Thin lines",
    "gap-width": "Narrow gaps",
    "islands": "Small dots",
    "white-lost": "Colour without white under it",
    "detail": "Detail",
    "specks": "Stray dots",
    "fringe": "Rim of an old background",
    "garment-contrast": "Colours against the garment",
    "text": "Text",
    "colour": "Colour",
    "mirrored": "Mirrored",
}
_UNITS = {
    "mm": "mm",
    "mm²": "mm²",
    "ppi": "ppi",
    "pages": "pages",
    "pieces": "pieces",
    "ΔE": "ΔE",
    "pt": "pt",
}


def verdict(verdict: str, questions: int) -> str:
    """What a report says first."""
    if verdict == "query" and questions > 1:
        return f"We have {questions} questions before we print this artwork."
    return VERDICTS[verdict]


def for_customer(customer: str) -> str:
    """Whom a report is for."""
    return f"{ARTWORK_REPORT} for {customer}"


def check_title(check: str) -> str:
    """What a check is about, in a few words."""
    return CHECKS.get(check, check.replace("-", " ").capitalize())


def revision(number: int) -> str:
    """Which artwork of an item it is, when it has had several."""
    return f"artwork no. {number}"


def enlarged(times: float) -> str:
    """How many times a detail is enlarged."""
    return f"{times:.0f} ×" if times >= 9.5 else f"{times:.1f} ×"


def measured(value: float | None, unit: str | None) -> str:
    """A measured value or a limit with its unit; a share of the whole in per cent."""
    if value is None:
        return ""
    if unit == "share":
        return f"{value:.1%}".replace("%", " %")
    if unit == "pages" and value == 1:
        return "1 page"
    shown = f"{value:.2f}" if unit == "mm" and value < 10 else f"{value:.1f}".removesuffix(".0")
    return f"{shown} {_UNITS.get(unit or '', unit or '')}".strip()


def shown_at(scale: float) -> str:
    """How large the art is shown."""
    if abs(scale - 1) < 0.005:
        return "shown at its real size"
    return f"shown at {scale:.0%} of its real size".replace("%", " %")


def on_garment(garment: str, colour: str) -> str:
    """Under the art on the garment's colour."""
    return f"On {garment or 'the garment'} ({colour}), as far as a screen can tell"


def pieces(count: int) -> str:
    """How many pieces."""
    return "1 piece" if count == 1 else f"{count} pieces"


def page_of(page: int, pages: int) -> str:
    """Page 1 of 2."""
    return f"Page {page} of {pages}"


# Messages to customers

BY_THE_WAY = "By the way:"


def message_subject(order: str, verdict: str, purchase_order: str) -> str:
    """The subject of a message about artwork."""
    own = f" (your {purchase_order})" if purchase_order else ""
    what = "we cannot print the artwork as it is" if verdict == "refuse" else "a question about your artwork"
    return f"Order {order}{own}: {what}"


def greeting(customer: str) -> str:
    """How a message begins."""
    return f"Hello {customer}," if customer else "Hello,"


def message_opening(order: str, items: int, purchase_order: str) -> str:
    """What the message is about."""
    own = f" (your {purchase_order})" if purchase_order else ""
    what = "one artwork" if items == 1 else f"{items} artworks"
    return (
        f"Thank you for your order {order}{own}. Before we print, we look at every artwork at its print "
        f"size, so that no film and no garment is wasted. About {what} we have something to ask or to say:"
    )


def what_happens_next(asks: bool, refuses: bool) -> str:
    """What the customer may expect."""
    said = ["What happens next:"]
    if asks:
        said.append(
            "Where we have a question, nothing is printed until you answer. Reply to this message and say "
            "what you would like, or send a corrected file under the same name the way you sent the first."
        )
    if refuses:
        said.append(
            "What we cannot print waits for a new file: send it under the same name the way you sent the "
            "first, and we look at it at once."
        )
    return " ".join(said)


def others_go_on(count: int) -> str:
    """The other items of the order."""
    if count == 1:
        return "The other artwork of your order is fine and goes on meanwhile."
    return f"The other {count} artworks of your order are fine and go on meanwhile."


def reports_attached(count: int) -> str:
    """What is attached."""
    if count == 1:
        return "The report that is attached shows your artwork with the places marked."
    return f"The {count} reports that are attached show your artworks with the places marked."


def see_report(name: str) -> str:
    """Which attachment shows it."""
    return f"Shown in {name}."


make_spoken(__name__, de="tickets.german.general")
