"""The words of the page of messages: what became of each, and the shop's own wording."""

from __future__ import annotations

from tickets.languages import make_spoken

MESSAGES = "Messages"
OF_ORDER, SHOW = "Order (empty: all)", "Show"
NOTHING = "No message to a customer was written yet."
OPEN_FILE, SEND_AGAIN, NEXT_TRY = "Open", "Send again", "next try"
WORDS, CHANGE = "How they are worded", "Words of"
OWN, SHIPPED = "own words", "shipped words"
NO_SERVER = "No mail server is set: open each message and send it by hand."
TEMPLATE = "Template; the first line is the subject"
TRY, SAVE, USE_SHIPPED = "Try", "Try and save", "Use the shipped words"
SPECIMEN = "What it says of an invented order"
KINDS = {
    "received": "Order received",
    "query": "Question about artwork",
    "released": "Artwork goes into print",
    "ready": "Ready",
    "dispatched": "Dispatched",
    "late": "Late",
}
STANDINGS = {
    "due": "due",
    "written": "written",
    "unsure": "may have arrived",
    "sent": "sent",
    "failed": "FAILED",
}


def quoted(kind: str) -> str:
    """A kind by its name."""
    return f"“{KINDS[kind]}”"


def kept(kind: str) -> str:
    """New words are used from now on."""
    return f"The words of “{KINDS[kind]}” are kept and used from now on."


def back_to_shipped(kind: str) -> str:
    """The shop's own words are put aside."""
    return (
        f"The shipped words of “{KINDS[kind]}” are used again; your own are kept as messages/{kind}.old.txt."
    )


make_spoken(__name__, de="tickets.german.messages")
