"""Booking what was put on paper, and what the shop's printer is asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlmodel import col, select

from tickets.ledger.books import About, Books
from tickets.models import Item, Ticket
from tickets.problems import NotFound


def ask_print(books: Books, codes: Sequence[str], by: str) -> None:
    """Each of these papers is due at the printer. Raises NotFound `no-paper-yet`, and asks for none then."""
    for code, (about, papered) in _tickets(books, codes).items():
        if not papered:
            raise NotFound(
                "no-paper-yet",
                f"The paper of {code} is not made yet.",
                "It is in a moment, when its artwork is accepted.",
            )
        books.note("print-asked", about, by)


def note_printed(books: Books, answers: Mapping[str, int], by: str) -> None:
    """What was asked for up to these events is on paper; a paper asked for later still is to be printed."""
    for code, (about, _) in _tickets(books, list(answers)).items():
        books.note("printed", about, by, of=answers[code])


def _tickets(books: Books, codes: Sequence[str]) -> dict[str, tuple[About, bool]]:
    """By code, in the order asked: what an event about it names, and whether it has a paper."""
    found = select(Ticket, Item.order_id).join(Item).where(col(Ticket.code).in_(codes))
    by_code = {
        ticket.code: (About(order_id, ticket.item_id, ticket.id), ticket.papered_revision > 0)
        for ticket, order_id in books.session.exec(found)
    }
    return {code: by_code[code] for code in dict.fromkeys(codes) if code in by_code}
