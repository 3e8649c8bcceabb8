"""Issuing tickets: a code that nobody has, and pieces that start at the first station."""

from __future__ import annotations

from sqlmodel import select

from tickets.codes import new_ticket_code
from tickets.ledger.books import Books
from tickets.ledger.inserting import insert_unless_there
from tickets.ledger.moving import book_scan, book_steps
from tickets.ledger.opening import OpenOrder, row_id
from tickets.models import Item, Scan, Ticket
from tickets.pieces import Spot, Step
from tickets.places import NEW

_TRIES = 50


def issue_first(books: Books, opened: OpenOrder, item: Item) -> Ticket:
    """Give an item its ticket: all its pieces wait at the first station of their way."""
    ticket = add_ticket(books, opened, item, item.quantity)
    scan = Scan(kind="issue", code=ticket.code, order_id=opened.id, at=books.now)
    book_steps(books, opened, book_scan(books, scan), [first_step(books, ticket, item)])
    return ticket


def issue_reprint(
    books: Books, opened: OpenOrder, code: str, quantity: int, scan: Scan, *, rush: bool = False
) -> Ticket:
    """Give spoiled pieces a ticket of their own, made by the scan that spoiled them."""
    item = opened.item_of(code)
    ticket = add_ticket(books, opened, item, quantity, opened.tickets[code])
    ticket.rush = ticket.rush or rush
    book_steps(books, opened, scan, [first_step(books, ticket, item)], reprint_of=code)
    return ticket


def add_ticket(
    books: Books, opened: OpenOrder, item: Item, quantity: int, reprint_of: Ticket | None = None
) -> Ticket:
    """Write the row of a new ticket under a code that no other has."""
    for _ in range(_TRIES):
        ticket = Ticket(
            code=new_ticket_code(books.random),
            item_id=row_id(item.id),
            reprint_of_id=row_id(reprint_of.id) if reprint_of else None,
            quantity=quantity,
            rush=opened.order.rush,
            issued_at=books.now,
        )
        if insert_unless_there(books.session, ticket, ["code"]):
            issued = books.session.exec(select(Ticket).where(Ticket.code == ticket.code)).one()
            opened.tickets[issued.code] = issued
            return issued
    raise RuntimeError(f"{_TRIES} new ticket codes were all taken")


def first_step(books: Books, ticket: Ticket, item: Item) -> Step:
    """Where the pieces of a new ticket come from, and where they wait."""
    return Step(ticket.code, ticket.quantity, Spot(NEW), Spot(books.route.first(item.service)))
