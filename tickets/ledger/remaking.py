"""Making pieces again that came back, or were short, after they had left the house: a reprint in a rush."""

from __future__ import annotations

from tickets import wording_dispatch as wording
from tickets import wording_floor
from tickets.ledger.books import Books
from tickets.ledger.issuing import issue_reprint
from tickets.ledger.moving import book_scan, book_steps, settle_order
from tickets.ledger.opening import find_named, open_order
from tickets.models import Scan
from tickets.pieces import Spot, Step
from tickets.places import DISPATCHED, SPOILED
from tickets.plans import where_pieces_are
from tickets.requests import ScanAnswer


def remake(books: Books, code: str, count: int, why: str, by: str) -> ScanAnswer:
    """Count dispatched pieces of a ticket as spoiled, and issue a rush ticket of the same item for them.

    So the sums go on holding: of the ticket (dispatched → spoiled) and of the item (the reprint waits). It is
    booked as a scan without a station, so that `undo` takes it back as any other.

    Raises ShopProblem `needs-why`, `bad-number`, `code-not-known`, `run-not-ticket`, `which-ticket`,
    `more-than-dispatched`; then nothing is changed.
    """
    if not why.strip():
        raise wording_floor.needs_why("remake")
    if count <= 0:
        raise wording_floor.bad_number(count)
    named = find_named(books, code)
    if named.is_run:
        raise wording_floor.run_is_no_order(code)
    opened = open_order(books, named.order_ids[0])
    if not named.is_ticket:
        gone = [now.code for now in opened.tickets_now() if now.at(DISPATCHED)]
        raise wording.remake_needs_ticket(code, gone)
    now = opened.ticket_now(code)
    if count > now.at(DISPATCHED):
        where = where_pieces_are(books.route, [now])
        raise wording.more_than_dispatched(code, count, now.at(DISPATCHED), where)
    scan = book_scan(books, Scan(kind="scan", code=code, order_id=opened.id, by=by, why=why, at=books.now))
    book_steps(books, opened, scan, [Step(code, count, Spot(DISPATCHED), Spot(SPOILED))])
    reprint = issue_reprint(books, opened, code, count, scan, rush=True).code
    settle_order(books, opened)
    says = wording.remade(code, count, books.route.stations[0], reprint)
    garment_set = opened.item_of(code).garment_set
    if garment_set:
        says += f" {wording.garments_too(garment_set)}"
    return ScanAnswer(code, opened.order.number, says, None, reprint)
