"""The sentences of a customer's own page: how far the order is, in words that anybody understands."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from tickets.languages import make_spoken
from tickets.places import CANCELLED, DISPATCHED
from tickets.standing import Standing
from tickets.wording_where import say_day, say_time

CHECKING, TO_PRINT, FINISHING = "being looked at", "to be printed", "printed, being finished"
TO_PRESS, READY, GONE = "printed, to be pressed", "ready", "has left our house"
CANCELLED_PIECES = "cancelled"
NOT_PRINTABLE = "This artwork cannot be printed as it is: our message says why, and what would help."
ASKED = "We have a question about this artwork: our message says which. It is not printed until you answer."
ORDER, YOUR_NUMBER, DUE, EXPECTED = "Order", "Your number", "Wanted by", "Expected ready"
CONSIGNMENT, CONSIGNMENTS = "Consignment number", "Consignment numbers"
NO_LINK = "This link does not work (any more)"
NO_LINK_DO = "See whether the whole of it was copied, and ask the shop for a new one."
QUESTIONS = "Questions? Ask us:"
_STANDINGS = {
    Standing.QUERIED: "We have a question for you: our message says which. Some of it waits for your answer.",
    Standing.HELD: "Your order is paused for the moment.",
    Standing.IN_WORK: "We are working on your order.",
    Standing.READY: "Your order is ready.",
    Standing.DISPATCHED: "Your order has left our house.",
    Standing.CANCELLED: "This order was cancelled.",
    Standing.REFUSED: "This order cannot be printed as it is: our message says why, and what would help.",
}

# On the order's own page, for the desk
LINK, LINK_MAKE, LINK_OFF = "The customer's link", "Make the customer's link", "Revoke the link"
LINK_HOW = (
    "Whoever has it sees how far this one order is: no prices, no names of staff, nothing else. "
    "It cannot be guessed."
)
LINK_OFF_HOW = "It stops working at once, for good; one made later is another one."
IN_OWN_NETWORK = (
    "This address works in your own network only: set links.address to one that customers can reach."
)
LINKS_SWITCHED_OFF = "Customers' links are switched off in this shop (links.on)."


def stages(stations: tuple[str, ...]) -> dict[str, str]:
    """What a customer reads for each place of the line, in the order that pieces pass them."""
    last, pressing = stations[-1], "press"
    said = {CHECKING: CHECKING, stations[0]: TO_PRINT}
    said |= {station: TO_PRESS if station == pressing else FINISHING for station in stations[1:-1]}
    return said | {last: READY, DISPATCHED: GONE, CANCELLED: CANCELLED_PIECES}


def say_standing(standing: Standing) -> str:
    """How the whole order stands."""
    return _STANDINGS[standing]


def say_ready_day(likely: datetime, latest: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The day on which it is expected to be ready: Thu 3 Dec, at the latest Fri 4 Dec."""
    first, last = say_day(likely, now, zone), say_day(latest, now, zone)
    return first if first == last else f"{first}, at the latest {last}"


def as_of(now: datetime, zone: ZoneInfo) -> str:
    """When this was so."""
    return f"As of {say_time(now, now, zone)}."


def link_revoked(order: str, *, was_there: bool) -> str:
    """What `link --off` did."""
    if was_there:
        return f"The customer's link of {order} is revoked: it shows nothing any more."
    return f"{order} has no customer's link that works; there is nothing to revoke."


def link_made(order: str) -> str:
    """What the order's page says."""
    return f"The customer's link of {order} works now."


make_spoken(__name__, de="tickets.german.progress")
