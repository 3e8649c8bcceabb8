"""Taking the last scan back, with the reprint that it made; what was is kept in the history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import exists
from sqlalchemy.orm import aliased
from sqlmodel import col, select

from tickets import wording_dispatch, wording_film
from tickets import wording_floor as wording
from tickets.ledger.books import Books
from tickets.ledger.film_scans import free_pieces, unmark_printed
from tickets.ledger.keys import claim_key, keep_answer
from tickets.ledger.moving import book_scan, book_steps, settle_order
from tickets.ledger.opening import Named, OpenOrder, find_named, open_orders
from tickets.ledger.packing import unpack
from tickets.ledger.stock import give_film_back
from tickets.ledger.telling import untell_scan
from tickets.models import Item, Movement, Scan, Ticket
from tickets.models_film import FilmPiece
from tickets.pieces import Spot, Step
from tickets.places import DISPATCHED, NEW, SPOILED
from tickets.plans import plan_undo
from tickets.requests import Moved, ScanAnswer
from tickets.wording_film_spoiling import spares_are_back


def take_back(books: Books, code: str, by: str, key: str = "") -> ScanAnswer:
    """Take back the last scan of a ticket, run or order.

    A ticket that was dispatched with its whole order comes back with all of that dispatch; one that was
    scanned with its run does not by itself. Raises ShopProblem `nothing-to-undo`, `scanned-in-a-run`,
    `moved-on`.
    """
    before = claim_key(books, key, {"undo": code, "by": by})
    if before is not None:
        return before
    named = find_named(books, code)
    orders = open_orders(books, {*named.order_ids, *_orders_moved(books, _last_scan(books, named))})
    last = _last_scan(books, named)
    if last is not None and _orders_moved(books, last) - orders.keys():
        raise wording_film.plan_overtaken(f"{code} was scanned in this moment")
    if last is None:
        raise wording.nothing_to_undo(code)
    if named.is_ticket and last.order_id is None:
        raise wording.scanned_in_a_run(code, last.code)
    answer = _undo(books, last, orders, by)
    keep_answer(books, key, answer)
    return answer


def _undo(books: Books, last: Scan, orders: dict[int, OpenOrder], by: str) -> ScanAnswer:
    done = _steps_of(books, last)
    everybody = {code: opened.ticket_now(code) for opened in orders.values() for code in opened.tickets}
    back = plan_undo(books.route, done, everybody)
    scan = Scan(
        kind="undo",
        code=last.code,
        order_id=last.order_id,
        station=last.station,
        by=by,
        undoes_id=last.id,
        at=books.now,
    )
    book_scan(books, scan)
    give_film_back(books, last)
    unmark_printed(books, last)
    free_pieces(books, last)
    withdrawn = [step.ticket for step in back if step.to.place == NEW]
    slips = []
    for opened in orders.values():
        own = [step for step in back if step.ticket in opened.tickets]
        book_steps(books, opened, scan, own, undoes=last.id)
        for code in withdrawn:
            if code in opened.tickets:
                opened.tickets[code].withdrawn = True
        untell_scan(books, opened.id, last.id)
        settle_order(books, opened)
        slips.append(unpack(books, opened, last.id, by))
    answer = _answer(last, done, withdrawn, [o.order.number for o in orders.values()])
    return replace(answer, says=" ".join((answer.says, *filter(None, slips))))


def _answer(last: Scan, done: Sequence[Step], withdrawn: Sequence[str], numbers: Sequence[str]) -> ScanAnswer:
    if not done:  # spares had stood in, and nothing was moved
        return ScanAnswer(last.code, ", ".join(numbers), spares_are_back(last.code), None)
    if done[0].source.place == DISPATCHED:  # pieces that had left the house were remade
        says = wording_dispatch.remake_taken_back(last.code, done[0].count, withdrawn[0])
        return ScanAnswer(last.code, ", ".join(numbers), says, None, withdrawn[0])
    here = [s for s in done if s.source.place == last.station]
    good = [s for s in here if s.to.place != SPOILED]
    spoiled = sum(s.count for s in here if s.to.place == SPOILED)
    total = sum(s.count for s in good)
    says = wording.taken_back(last.code, last.station, total + spoiled, withdrawn)
    gone_to = good[0].to.place if good else SPOILED
    moved = Moved(gone_to, last.station, total, spoiled)
    return ScanAnswer(last.code, ", ".join(numbers), says, moved, withdrawn[0] if withdrawn else None)


def _orders_moved(books: Books, scan: Scan | None) -> set[int]:
    """The orders whose pieces a scan moved: a run that was spoiled may hold nothing of them any more."""
    if scan is None:
        return set()
    asked = select(Item.order_id).join(Ticket).join(Movement).where(Movement.scan_id == scan.id)
    return set(books.session.exec(asked.distinct()))


def _last_scan(books: Books, named: Named) -> Scan | None:
    """The last scan that is not taken back yet and moved something of what is named."""
    undo = aliased(Scan)
    asked = (
        select(Scan)
        .where(Scan.kind == "scan", ~exists().where(col(undo.undoes_id) == col(Scan.id)))
        .order_by(col(Scan.id).desc())
        .limit(1)
    )
    if named.is_ticket:
        # The scan that a reprint was born by is another ticket's.
        moved = select(Movement.scan_id).join(Ticket).where(Ticket.code == named.code)
        spared = select(FilmPiece.used_in).join(Ticket).where(Ticket.code == named.code)
        by_ticket = col(Scan.id).in_(moved.where(Movement.from_place != NEW))
        asked = asked.where(by_ticket | col(Scan.id).in_(spared.where(col(FilmPiece.used_in).is_not(None))))
    else:
        asked = asked.where(Scan.code == named.code)
        if not named.is_run:
            asked = asked.where(Scan.order_id == named.order_ids[0])
    return books.session.exec(asked).first()


def _steps_of(books: Books, scan: Scan) -> list[Step]:
    """The movements of a scan, in the order in which they were made."""
    rows = books.session.exec(
        select(Movement, Ticket.code)
        .join(Ticket)
        .where(Movement.scan_id == scan.id)
        .order_by(col(Movement.id))
    )
    return [
        Step(code, m.count, Spot(m.from_place, m.from_run), Spot(m.to_place, m.to_run), m.inferred)
        for m, code in rows
    ]
