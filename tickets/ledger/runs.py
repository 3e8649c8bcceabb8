"""Laying pieces into a film run: from then on they are one piece of film, up to the cure."""

from __future__ import annotations

from collections.abc import Mapping

from tickets import wording_floor as wording
from tickets.ledger.books import Books
from tickets.ledger.moving import book_scan, book_steps
from tickets.ledger.opening import Named, find_named, open_orders
from tickets.models import Scan
from tickets.pieces import Spot, Step
from tickets.plans import require_scannable, where_pieces_are


def lay_in_run(books: Books, run: str, pieces: Mapping[str, int], by: str) -> None:
    """Move loose pieces of some tickets (code → how many), that wait at the first station, into a run.

    Raises ShopProblem `more-than-waits`, `ticket-held`, `ticket-queried`, `code-not-known`, `bad-number`.
    """
    named: dict[str, Named] = {code: find_named(books, code) for code in pieces}
    orders = open_orders(books, (n.order_ids[0] for n in named.values()))
    scan = book_scan(books, Scan(kind="run", code=run, station=books.route.stations[0], by=by, at=books.now))
    for code, count in pieces.items():
        if count <= 0:
            raise wording.bad_number(count)
        opened = orders[named[code].order_ids[0]]
        now = opened.ticket_now(code)
        require_scannable(now)
        first = books.route.first(now.service)
        loose = now.lots.get(Spot(first), 0)
        if loose < count:
            raise wording.more_than_waits(code, first, count, loose, where_pieces_are(books.route, [now]))
        book_steps(books, opened, scan, [Step(code, count, Spot(first), Spot(first, run))], run=run)
