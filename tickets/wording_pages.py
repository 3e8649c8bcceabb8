"""The words of the pages: what stands on buttons, over lists, and in place of an empty one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from tickets.languages import make_spoken
from tickets.wording_floor import done_at, pieces
from tickets.wording_where import due_says, say_day, say_time

__all__ = ["done_at", "due_says", "pieces", "say_day", "say_time"]

# Navigation
LINE, WHERE, QUERIES, DEVICES = "The line", "Where is it", "Questions", "Devices"
PAPERS, PRINTER = "Papers", "Printer"
FILM_PAGE = "Film"
DROP, PROMISE = "New order", "Promise"
SKIP, NAVIGATION = "Skip to the page", "Pages"
LANGUAGE, SPEAK_IT = "Language", "Use it"
DID_NOT_WORK = "That did not work"

# Letting a device in
NOT_LET_IN = "This device is not let in yet"
HOW_TO_PAIR = (
    "Type the pairing code that the owner shows you: on the owner's page Devices, "
    "or with filmdocket device add on the shop's computer."
)
PAIRING_CODE, DEVICE_NAME, LET_IN = "Pairing code", "Name of this device", "Let this device in"
DEVICE_NAME_HINT = "For example: press kiosk, Ines's phone"
LINK_READY = "The link is good for one device. Name it, and it is let in for good."
REVOKE, ADD_DEVICE, REVOKED, ITS_NAME = "Revoke", "Show a pairing code", "revoked", "Its name"
ROLE = "May do"
ROLES = {"station": "station: scan and see", "desk": "desk: all about orders", "owner": "owner: devices too"}
SCAN_TO_PAIR = "Scan with the phone's camera, or open this address there and type the code:"
CODE_LIVES = "The code is good for one device and ten minutes."

# Tickets
TICKET, ORDER, CUSTOMER, DUE, QUANTITY = "Ticket", "Order", "Customer", "Due", "Pieces"
ARTWORK, GARMENT, PLACEMENT, REPRINT_OF = "Artwork", "Garment", "Placement", "Reprint of"
PRINT_SIZE, REVISION, RUN = "Print size", "Artwork revision", "Film run"
THIS_DEVICE, AT_STATION, REMEMBER = "This device", "is at", "Remember"
NO_STATION = "no station yet"
CHOOSE_STATION = "Say once at which station this device is; then one button does the rest."
FEWER, GOOD, SPOILED, WHY, BOOK_IT = "Fewer or spoiled…", "Good", "Spoiled", "Why", "Book it"
UNDO, UNDO_LAST = "Undo", "Undo the last scan"
REASONS = ("peeled badly", "scorched", "misplaced", "wrong colour", "powder or dust", "film damaged")
OTHER_REASON = "another reason"
RUSH, HELD = "rush", "held"

# Stations
SCAN_HERE = "Scan a ticket"
SCAN_HINT = "Nothing to click. A number and Enter before the scan: only so many pieces."
TYPED, NEXT_SCAN, ALL_PIECES = "Typed", "Next scan", "all that wait"
PIECES_GOOD, PIECES_SPOILED = "good", "spoiled"
WAITS_HERE, NOTHING_WAITS, DONE_LATELY = "Waits here", "Nothing waits here.", "Just done"
NOTHING_DONE, CODE_BY_HAND, SEND = "Nothing yet.", "Ticket code", "Send"
SINCE = "Waits for"
NO_ANSWER = "This could not be kept on this device. The scan was NOT counted: scan it again."
PROBLEM_WORD, DONE_WORD = "Not booked", "Booked"

# Without the network
KEPT_TITLE, KEPT_WORD, LOOK_AT_KEPT, STATION = (
    "Scans kept on this device",
    "Kept here",
    "Look at them",
    "Station",
)
KEPT_HOW = (
    "Scans that the shop's computer has not answered yet are kept here and sent by themselves, in order, "
    "each counted once. One that could not be booked when it arrived is asked about here."
)
KEPT_SAYS = "Kept on this device; it is sent as soon as the shop's computer answers."
KEPT_DO = "Go on scanning: each scan is counted once."
AWAY_NOW = "The shop's computer does not answer. What you see is from before; scans are kept here."
AWAY_NOT_LET_IN = "This device is not let in any more. Its scans are kept here until it is let in again."
ONE_WAITS, MANY_WAIT = "1 scan waits to be sent.", "{n} scans wait to be sent."
ONE_UNANSWERED = "1 scan could not be booked when it arrived: somebody must say what becomes of it."
MANY_UNANSWERED = "{n} scans could not be booked when they arrived: somebody must say what becomes of them."
TAKE_OFF, TRY_AGAIN, BOOK_ALL_HERE = "Take off", "Try again", "Book all that wait there"
BOOK_MISSED, LEAVE_OUT, GO_BACK = "Book the missed stations too", "Leave it out…", "No, go back"
LEAVE_OUT_SURE, LEAVE_OUT_SAYS = "Yes, leave it out", "Left out, this scan is counted nowhere."
UNDO_AWAY = "The shop's computer does not answer: nothing was taken back. Look again when it does."
UNDO_WAITS = "Scans wait to be sent: take them off below, or undo when the shop's computer answers."

# The line
PIECES_AND_AGE = "Height: pieces that wait. Shade: how long they have waited."
LATE_ORDERS, NONE_LATE = "Late and soon late", "Nothing is late or due within a day."
ASKED_CUSTOMERS, NONE_ASKED = "Waiting for a customer", "No question is open."
REFUSED_FILES, NONE_REFUSED = "Refused files of the last week", "None."
LOW_STOCK = "Stock to be ordered"
INTAKE, INTAKE_NEVER = "Intake", "has never been alive here; start filmdocket watch"
FILM, OLDEST = "film", "oldest"
HELPS_MOST = "What helps most:"

# The desk
EMAIL, PHONE, PURCHASE_ORDER = "E-mail", "Phone", "Purchase order"
SEARCH, SEARCH_HINT = "Ask", "A name, a number, half a phone number, a ticket code"
HISTORY, ITEMS = "History", "Items"
PRINT_AGAIN, PRINT_ALL = "Job ticket (PDF)", "Print its tickets together"
MESSAGES = "Messages"
DISPATCHES, SLIP_AGAIN = "Dispatches", "Packing slip"
NOTHING_DISPATCHED = "Nothing of it has left the house yet."
PARCEL_LABEL, ADD_PARCEL, CHANGE_PARCEL = "Label of parcel", "Add a parcel", "Change parcel"
REMOVE_PARCEL = "Take it out of the books"
WEIGHT_KG, CONSIGNMENT = "Weight in kg", "Consignment number"
SEND_READY, COLLECTED_BY = "Dispatch what is ready", "Collected by (empty: it is sent)"
SEND_PART, WHY_PART = "A part may go before the rest", "Why only a part (not needed for a whole order)"
SHELF, PUT_ON_SHELF, SAVE = "Shelf", "Where it lies", "Save"
HOLD, RELEASE, CANCEL = "Hold", "Release", "Cancel"
CHANGE_DUE, CHANGE_QUANTITY = "Change due day", "Change quantity"
NEW_DUE, NEW_QUANTITY = "New due day", "Pieces in all"
REASON, NOTE, WHO, SOME_PIECES = "Reason", "What the customer said", "Who says so", "Pieces (empty: all)"
WHOLE_ORDER = "the whole order"
ACT_ON = "Concerns"

# Questions
NO_QUESTIONS = "No question is open: every artwork is answered for."
RELEASE_AS_IS, NEW_ARTWORK = "Release as it is", "New artwork"
NEW_ARTWORK_HOW = "Send the corrected file in here, or drop it under the same name in the same folder."
CUSTOMER_MESSAGE, MESSAGE_FILE, NO_MESSAGE = (
    "Message to the customer",
    "Ready to send (.eml)",
    "The message is not written yet; intake writes it in a moment.",
)
MARKED = "Artwork with the places marked"


def age(since: datetime, now: datetime) -> str:
    """How long something has waited: 5 min, 3 h, 2 days."""
    seconds = max(0, int((now - since).total_seconds()))
    if seconds < 3600:
        return f"{seconds // 60} min"
    if seconds < 48 * 3600:
        return f"{seconds // 3600} h"
    return f"{seconds // 86400} days"


def seen_ago(at: datetime, now: datetime) -> str:
    """When intake was last alive."""
    is_now = (now - at).total_seconds() < 60
    return "is alive" if is_now else f"was last alive {age(at, now)} ago"


def lateness(due_at: datetime | None, now: datetime) -> str:
    """Whether it is late, in words: "2 days late", "due in 5 h"; "" when there is time."""
    if due_at is None:
        return ""
    if due_at < now:
        return f"{age(due_at, now)} late"
    return f"due in {age(now, due_at)}" if due_at - now < timedelta(hours=24) else ""


def band_names(edges_hours: Sequence[int]) -> list[str]:
    """What the shades of the strip mean, the youngest first."""
    said = [f"{hours} h" if hours < 48 else f"{hours // 24} days" for hours in edges_hours]
    between = [f"{low} to {high}" for low, high in pairwise(said)]
    return [f"under {said[0]}", *between, f"over {said[-1]}"]


def blocked_says(blocked: str) -> str:
    """Why pieces that wait can't be worked on: queried, unchecked, held: and the reason."""
    return blocked


def standing_says(standing: str) -> str:
    """What a ticket stands as."""
    return standing


def inside(word: str) -> str:
    """A word of these inside a line: "Waits for" becomes "waits for"."""
    return word.lower()


def station_label(station: str, label: str) -> str:
    """What a station is called: the shop's own name for it, where it has one."""
    return label or station


def level_says(level: str) -> str:
    """How grave a finding is."""
    return level


def check_says(check: str) -> str:
    """What a finding is about."""
    return check


def role_says(role: str) -> str:
    """What a device may do, in a word."""
    return role


def number(value: float, places: int) -> str:
    """A number with so many decimals."""
    return f"{value:.{places}f}"


def all_done(station: str, count: int) -> str:
    """What stands on the big button: 40 pressed."""
    return f"{count} {done_at(station)}"


def nothing_here(station: str, where: str) -> str:
    """Why there is no big button."""
    return f"Nothing of it waits at {station}: {where}."


# What `serve` and `device` say


def pages_at(address: str) -> str:
    """Where the pages are."""
    return f"The pages are at {address} (Ctrl-C ends this)."


def owner_link(link: str) -> str:
    """The one-time link of the first start."""
    return (
        f"No owner's device is let in yet. Open this on yours, once, within a day:\n\n    {link}\n\n"
        "Keep it to yourself: whoever opens it first is the owner."
    )


def loopback_only() -> str:
    """Served to this machine alone."""
    return "Only this machine sees them. For phones and stations of your network add: --host 0.0.0.0"


def also_on_the_network() -> str:
    """Served to the network."""
    return "Other devices see nothing until you let them in: filmdocket device add"


def pairing_lines(code: str, link: str) -> list[str]:
    """Under the QR code of `device add`."""
    return [
        f"Scan this with the device's camera, or open {link} there.",
        f"Pairing code: {code[:4]} {code[4:]}",
        CODE_LIVES,
    ]


def device_line(number: int, name: str, role: str, seen: str, *, revoked: bool) -> str:
    """One device in `device list`."""
    return f"{number:>4}  {role:<8} {name}  {'revoked' if revoked else f'last seen {seen}'}"


def device_revoked(name: str) -> str:
    """A device is turned away from now on."""
    return f"{name} is revoked: it sees and changes nothing any more."


def certificate_lines(
    paths: tuple[str, str, str], names: Sequence[str], until: str, *, is_new_root: bool, is_set: bool
) -> list[str]:
    """What `certificate` has made, and what to do with it; paths of root, certificate and key."""
    root, certificate, key = paths
    lines = [f"A certificate for {', '.join(names)}, good until {until}."]
    if not is_set:
        lines += ["Put it into shop.toml:", "", "    [pages]", f'    certificate = "{certificate}"']
        lines += [f'    key = "{key}"', "", "Then start filmdocket serve again."]
    else:
        lines.append("Start filmdocket serve again, so that it is used.")
    if is_new_root:
        lines.append(f"Install this root once on every device: {root}")
        lines.append("Phones open it at /root-certificate.crt of the pages. Its key stays on this computer.")
    return lines


make_spoken(__name__, de="tickets.german.pages")
