"""The words about repairs of artwork and new artwork on the queries page."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.languages import make_spoken

REPAIRS = "Repair it here"
REPAIRS_HOW = (
    "Look at each before and after. Nothing is changed before you release it; the customer's file is kept."
)
LOOK_AT_REPAIRS = "Look at the repairs, before and after"
FAILED = "The shop's computer does not answer. Open this once more."
LOADING = "The repairs are being tried …"
CHOOSE, SEE_TOGETHER = "Do this", "See the chosen ones together"
TOGETHER = "Together"
CHECKED_AGAIN = "Checked again"
VERDICTS = {
    "clear": "clear: nothing is left to ask",
    "query": "something is still asked; it is released as well",
    "refuse": "refused: it cannot be printed like this",
}
RELEASE_REPAIRED = "Release repaired"
REMEMBER_IT = "Do not ask again for these bytes, this size and this garment colour"
ANSWERS = "answers"
VIEWS = {
    "before": "Before",
    "marked": "What goes (red) or comes (green)",
    "after": "After",
    "close_before": "Before, close",
    "close_after": "After, close",
}
SEND_NEW = "Send it in"
CHOOSE_FILE = "The corrected file"
NO_FILE = ("No file was chosen.", "Choose the corrected artwork, and send it in.")
NOTHING_CHOSEN = ("No repair was chosen.", "Tick one, or release the artwork as it is.")
NOT_REPAIRABLE = "nothing that can be mended here was found."
TAKE_NEW = "Release it as it is, or send in new artwork."
REPAIR_NAMES = {
    "srgb": "Convert to sRGB",
    "background": "Remove the background",
    "harden": "Harden soft edges",
    "specks": "Remove specks",
    "trim": "Trim the margins",
    "thicken": "Thicken lines",
}


def repairs_offered(names: Sequence[str]) -> str:
    """What stands on the button that opens the repairs."""
    first, *others = [REPAIR_NAMES[name] for name in names]
    return ", ".join([first, *(other[0].lower() + other[1:] for other in others)])


def view_of(name: str, view: str) -> str:
    """What a picture of a repair shows, for those who cannot see it."""
    return f"{VIEWS[view]}: {' + '.join(REPAIR_NAMES[one] for one in name.split('+'))}"


def nothing_repaired(artwork: str, told: Sequence[str]) -> str:
    """Why no repair of an artwork is offered."""
    return f"{artwork}: {' '.join(told)}"


def sent_in(artwork: str, order: str) -> str:
    """New artwork went into the inbox."""
    return f"The new {artwork} for {order} is on its way: intake takes it in a moment, and checks it."


def no_open_question(code: str) -> tuple[str, str]:
    """A question that was answered meanwhile, or never asked."""
    return f"No question about {code[:20]} is open.", "See the list of questions."


make_spoken(__name__, de="tickets.german.mends")
