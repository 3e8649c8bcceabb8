"""What the desk changes of an order while it is in work: its due day, and how many pieces are wanted."""

from __future__ import annotations

from datetime import date, datetime

from tickets import wording_change as wording
from tickets import wording_floor
from tickets.ledger.books import Books
from tickets.ledger.moving import book_scan, book_steps, settle_order
from tickets.ledger.opening import OpenOrder, find_named, open_order
from tickets.models import Item, Scan, Ticket
from tickets.pieces import Spot, Step, TicketNow
from tickets.places import CANCELLED, NEW
from tickets.plans import plan_cancel, where_pieces_are

MOST_PIECES = 100_000  # as in an order file


def change_due(books: Books, code: str, due: str, why: str, by: str) -> str:
    """Give an open order another due day ("2026-12-04": the shop's closing time of that day).

    The tickets that have pieces in the house are printed again. Raises ShopProblem `needs-why`,
    `due-not-read`, `nothing-to-change`, `code-not-known`, `run-not-ticket`.
    """
    if not why.strip():
        raise wording_floor.needs_why("change")
    opened = _open(books, code)
    order, day = opened.order, _day(due)
    if order.closed_at is not None or order.due == day.isoformat():
        raise wording.due_stays(order.number, order.due, is_closed=order.closed_at is not None)
    was, order.due = order.due, day.isoformat()
    order.due_at = datetime.combine(day, books.settings.shop.closing_time, books.settings.shop.zone)
    books.note("due-changed", opened.about_order(), by, was=was, due=order.due, why=why)
    for ticket in opened.tickets.values():
        _print_again(ticket, opened.ticket_now(ticket.code))
    return wording.due_changed(order.number, was, order.due)


def change_quantity(books: Books, code: str, quantity: int, why: str, by: str) -> str:
    """Have so many pieces of a ticket's item in all, reprints and dispatched ones included.

    More: the further pieces start at the item's first ticket, whose quantity grows with what is ordered, so
    that the sums of ticket and item go on holding. Fewer: pieces are cancelled, those least far along first.
    Raises ShopProblem `needs-why`, `bad-number`, `which-ticket`, `nothing-to-change`, `more-than-waits`.
    """
    if not why.strip():
        raise wording_floor.needs_why("change")
    if not 0 < quantity <= MOST_PIECES:
        raise wording_floor.bad_number(quantity)
    opened = _open(books, code)
    if code not in opened.tickets:
        raise wording_floor.which_ticket(code, [t.code for t in opened.tickets_now() if t.waiting])
    item = opened.item_of(code)
    own = list(opened.tickets_of(item))
    wanted_now = item.quantity - sum(now.at(CANCELLED) for now in own)
    if quantity == wanted_now:
        raise wording.quantity_stays(code, quantity)
    if quantity > wanted_now:
        _add_pieces(books, opened, item, quantity - wanted_now, why, by)
    else:
        _take_pieces(books, opened, own, wanted_now - quantity, why, by)
    settle_order(books, opened)
    return wording.quantity_changed(code, wanted_now, quantity, item.sizes)


def _add_pieces(books: Books, opened: OpenOrder, item: Item, count: int, why: str, by: str) -> None:
    first = next(t for t in opened.tickets.values() if t.item_id == item.id and t.reprint_of_id is None)
    item.quantity += count
    first.quantity += count
    scan = Scan(kind="issue", code=first.code, order_id=opened.id, by=by, why=why, at=books.now)
    step = Step(first.code, count, Spot(NEW), Spot(books.route.first(item.service)))
    book_steps(books, opened, book_scan(books, scan), [step], further=True)
    _print_again(first, opened.ticket_now(first.code))


def _take_pieces(
    books: Books, opened: OpenOrder, own: list[TicketNow], count: int, why: str, by: str
) -> None:
    waiting = sum(now.waiting for now in own)
    if count > waiting:
        where = where_pieces_are(books.route, own)
        raise wording_floor.more_to_cancel(own[0].code, count, waiting, where)
    steps: list[Step] = []
    stations = (*books.route.stations,)
    live = [step for now in own if now.waiting for step in plan_cancel(books.route, now, None)]
    live.sort(key=lambda s: stations.index(s.source.place) if s.source.place in stations else -1)
    for step in live:
        part = min(count, step.count)
        if part:
            steps.append(Step(step.ticket, part, step.source, step.to))
            count -= part
    scan = Scan(kind="cancel", code=own[0].code, order_id=opened.id, by=by, why=why, at=books.now)
    book_steps(books, opened, book_scan(books, scan), steps)
    for code in dict.fromkeys(step.ticket for step in steps):
        _print_again(opened.tickets[code], opened.ticket_now(code))


def _print_again(ticket: Ticket, now: TicketNow) -> None:
    """What stands on the paper is true no longer: it is due once more."""
    if now.waiting and not ticket.withdrawn:
        ticket.papered_revision = 0


def _open(books: Books, code: str) -> OpenOrder:
    named = find_named(books, code)
    if named.is_run:
        raise wording_floor.run_is_no_order(code)
    return open_order(books, named.order_ids[0])


def _day(due: str) -> date:
    try:
        day = date.fromisoformat(due.strip())
        if day.isoformat() != due.strip():  # other forms that Python reads: weeks, days without hyphens
            raise ValueError
        return day
    except ValueError:
        raise wording.due_not_read(due) from None
