"""The words of the drop page: artwork, its size and how many, and what is still missing before it is sent."""

from __future__ import annotations

from tickets.languages import make_spoken

DROP = "New order"
DROP_HERE = "Drop artwork here"
CHOOSE = "Choose files"
OR_CHOOSE = "or choose it. It is checked at once; nothing is ordered before you send it."
BEGIN = "Check it"
SENDING, CHECKING, FAILED = "On its way", "It is being checked …", "It did not arrive. Try again."
TOO_LARGE = "This file is larger than the shop takes."
LYING = "Lies in the inbox without an order"
NONE_LYING = "No artwork waits for an order."
MAKE_ORDER = "Make an order of it"
AGAIN, AGAIN_HOW = "Same as last time", "The number of the earlier order"
TAKE_OVER = "Take it over"
MORE_ART = "More artwork for this order"
ORDER_NUMBER, NUMBER_HINT = "Order number", "Left empty, one is given."
CUSTOMER_NAME, DUE_DAY = "Customer", "Due day"
SERVICE, PRESSED, TRANSFERS = "Service", "pressed", "transfers only"
IS_RUSH = "Rush"
HANDING, COLLECTED, SENT = "When it is ready", "it is collected", "it is sent"
SHIP_TO, SHIP_TO_HINT = "Sent to", "As on a label, a line each, the name first."
MAY_PART = "What is ready may leave before the rest"
WIDTH, PIECES = "Width of the print in mm", "Pieces"
PLACEMENT, GARMENT, COLOUR = "Placement", "Garment", "Garment's colour (#RRGGBB)"
FABRIC, SIZES, SIZES_HINT = "Cloth", "Sizes", "For example: S 10, M 20, L 10"
FILM, FILM_DEFAULT, NOTE = "Film", "the shop's usual", "Note for the floor"
MIRRORED = "The art arrives mirrored"
CHECK, SEND, LEAVE_OUT, FORGET = "Check again", "Send the order", "Leave it out", "Throw away"
OF_EARLIER = "artwork of order"
CHECKED, NOT_CHECKED = "Checked", "Not checked yet"
VERDICTS = {
    "clear": "clear: nothing stands in the way",
    "query": "to be asked: it will wait for an answer",
    "refuse": "refused: it cannot be printed like this",
}
PLACES = "Places, from the print's top left"
IS_SENT = "The order is on its way"
WAITS = "It lies in the inbox; intake takes it in a moment. This page goes on by itself."
INTAKE_STARTS = "Intake has not been seen yet: start filmdocket watch."
NOTHING_CHOSEN, CHOOSE_FIRST = "No artwork was chosen.", "Choose a file, or name an earlier order."
NO_PICTURE, OPEN_FILE = "There is no picture of this artwork.", "Open the file itself."
FILL_IN = "Fill it in and send it again."


def sent(number: str) -> str:
    """An order was laid into the inbox."""
    return f"Order {number} was sent."


def size_says(width_mm: float, height_mm: float) -> str:
    """How large the print will be."""
    return f"{width_mm:.1f} × {height_mm:.1f} mm"


def place_says(place: list[float]) -> str:
    """Where a finding lies: from the left, from the top, and how large."""
    x, y, width, height = place
    return f"{x:.1f} / {y:.1f} mm ({width:.1f} × {height:.1f})"


def lacks(artwork: str, what: str) -> str:
    """A field of an item that is missing or cannot be read."""
    return f"{artwork}: {what}"


LACKS_ADDRESS = "Where is it sent? Write the address, a line each, the name first."
COLLECTED_OR_SENT = "It is collected, and yet there is an address: choose that it is sent, or clear it."
LACKS_CUSTOMER = "Whose order is it? Name the customer."
SEVERAL_FOLDERS = "The artwork lies in several folders of the inbox."
ONE_EACH = "Make an order for each folder."
LACKS_WIDTH = "how wide is the print, in mm?"
LACKS_PIECES = "how many pieces?"
LACKS_COLOUR = "the garment's colour cannot be read; write it as in #10213f"
PAGES, PAGES_HINT = "Pages of the file", "Left empty: its only one. For example: 2, or 1-4"
LACKS_SIZES = "the sizes cannot be read; write them as in S 10, M 20"


def number_taken(number: str) -> str:
    """An order of that number is in the books."""
    return f"There is an order {number} already."


def draft_not_known() -> str:
    """A draft that was sent or thrown away."""
    return "This order is no longer being written: it was sent, or thrown away."


def file_gone(path: str) -> str:
    """Artwork that no longer lies in the inbox."""
    return f"{path} no longer lies in the inbox."


make_spoken(__name__, de="tickets.german.drop")
