"""What a typed or scanned text means: a ticket, a run, or an order number."""

from __future__ import annotations

from sqlmodel import select

from tickets.codes import codes_in, is_code, is_run_code, looks_like_code, read_code
from tickets.layouts import read_by_layout
from tickets.lookup.finding import order_number_as_booked
from tickets.problems import BadInput, NotFound
from tickets.store import Store
from tickets.wording_people import keyboards_differ


def is_ticket_code(named: str) -> bool:
    """Whether a name that `name_thing` gave is a ticket's: a run code begins with R."""
    return is_code(named) and not is_run_code(named)


def is_in_books(store: Store, code: str) -> bool:
    """Whether there is a ticket, or a run with pieces in it, of this very code."""
    from tickets.models import Lot, Ticket  # only for what is no code as it stands

    with store.reading() as session:
        if is_run_code(code):
            return session.exec(select(Lot.id).where(Lot.run == code).limit(1)).first() is not None
        return session.exec(select(Ticket.id).where(Ticket.code == code)).first() is not None


def keyboard_hint(text: str, code: str) -> str:
    """What to say when `code` was read from a scan by another keyboard's layout; "" when it came whole."""
    if code in codes_in(text):
        return ""
    reading = read_by_layout(text)
    return keyboards_differ(reading.keyboards) if reading is not None and reading.code == code else ""


def name_thing(store: Store, text: str, *, orders: bool) -> str:
    """The ticket or run code in `text`, else, where `orders` are allowed, the order number.

    An order number wins only where it is an order's very number, for scanners never type one.
    Where they are not, one is given only for want of a code, so that it can be said what it is.
    Raises NotFound `order-not-known` or BadInput `code-not-read` with what is wrong.
    """
    booked = order_number_as_booked(store, text.strip()) if orders else None
    if booked is not None:
        return booked
    try:
        return str(read_code(text))
    except BadInput as problem:
        reading = read_by_layout(text)
        if reading is not None and is_in_books(store, reading.code):
            return reading.code
        if looks_like_code(text):
            raise
        if not orders:
            number = order_number_as_booked(store, text.strip())
            if number is None:
                raise
            return number
        raise NotFound(
            "order-not-known",
            f"There is neither an order nor a ticket {text.strip()!r} in the books.",
            "Look it up with `filmdocket where` and any words that you know of it.",
        ) from problem
