"""The desk's acts: hold, release, cancel; each names what it did in one sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import select

from tickets import wording_books
from tickets import wording_floor as wording
from tickets.ledger.books import About, Books
from tickets.ledger.issuing import issue_first
from tickets.ledger.moving import book_scan, book_steps, settle_order
from tickets.ledger.opening import Named, OpenOrder, find_named, open_order
from tickets.ledger.orders import repair_artwork
from tickets.ledger.remembering import remember_release
from tickets.ledger.telling import settle_telling, tell_released
from tickets.models import Item, Order, Revision, Scan, Ticket
from tickets.pieces import Step
from tickets.plans import plan_cancel
from tickets.requests import RepairedArtwork
from tickets.standing import ACCEPTED, QUERIED


@dataclass(frozen=True, slots=True)
class _Answer:
    """Who answers a question, what the customer said, and whether that is remembered."""

    by: str
    note: str
    remember: bool


def put_on_hold(books: Books, code: str, why: str, by: str) -> str:
    """Stop a ticket or an order. Raises ShopProblem `needs-why`, `already-held`, `nothing-to-hold`."""
    if not why.strip():
        raise wording.needs_why("hold")
    named, opened = _open(books, code)
    held = _held_row(named, opened)
    if held.held_why is not None:
        raise wording.already_held(code, held.held_why)
    live = opened.ticket_now(code).waiting if named.is_ticket else opened.order.closed_at is None
    if not live:
        raise wording.nothing_to_hold(code)
    held.held_why = why
    books.note("held", _about(named, opened), by, why=why)
    settle_telling(books, opened)
    return wording_books.held(code, why)


def let_go(books: Books, code: str, by: str, note: str, *, remember: bool = True) -> str:
    """Answer the open question about a ticket's item or an order's items; where there is none, end its hold.

    A hold needs its own release: what is both queried and held is released twice. `remember`: the same
    question is not asked again of the same art, where the shop wants that. Raises ShopProblem
    `needs-name`, `nothing-to-release`, `artwork-not-usable`.
    """
    if not by.strip():
        raise wording.needs_name()
    named, opened = _open(books, code)
    items = [opened.item_of(code)] if named.is_ticket else list(opened.items.values())
    queried = [item for item in items if item.standing == QUERIED]
    held = _held_row(named, opened)
    if queried:
        _answer_questions(books, opened, queried, _Answer(by, note, remember))
        codes = [next(opened.tickets_of(item)).code for item in queried]
        return wording_books.question_answered(codes, code, held.held_why)
    if held.held_why is None:
        raise wording.nothing_to_release(code, opened.order.number, opened.order.held_why)
    books.note("hold-ended", _about(named, opened), by, note=note, was=held.held_why)
    held.held_why = None
    settle_telling(books, opened)
    return wording_books.hold_ended(code)


def repair(books: Books, code: str, repaired: RepairedArtwork, by: str) -> str:
    """Give a queried ticket's item the shop's own repair of its artwork; returns the sentence.

    Raises ShopProblem `needs-name`, `which-ticket`, `nothing-to-repair`, `artwork-changed`.
    """
    if not by.strip():
        raise wording.needs_name()
    named, opened = _open(books, code)
    if not named.is_ticket:
        raise wording.which_ticket(code, [t.code for t in opened.tickets_now() if t.waiting])
    item = opened.item_of(code)
    if item.standing != QUERIED:
        raise wording.not_queried(code)
    if item.artwork_sha256 != repaired.was_sha256:
        raise wording.artwork_changed(code)
    repair_artwork(books, opened, item, repaired, by)
    return wording_books.repaired(code, repaired.repairs)


def cancel(books: Books, code: str, pieces: int | None, why: str, by: str) -> str:
    """End some or all pieces of a ticket, those least far along first, or all that is left of an order.

    Raises ShopProblem `needs-why`, `which-ticket`, `nothing-to-cancel`, `more-than-waits`, `bad-number`.
    """
    if not why.strip():
        raise wording.needs_why("cancel")
    named, opened = _open(books, code)
    if named.is_ticket:
        steps = list(plan_cancel(books.route, opened.ticket_now(code), pieces))
    elif pieces is not None:
        raise wording.which_ticket(code, [t.code for t in opened.tickets_now() if t.waiting])
    else:
        steps = _cancel_all(books, opened)
    scan = Scan(kind="cancel", code=code, order_id=opened.id, by=by, why=why, at=books.now)
    book_steps(books, opened, book_scan(books, scan), steps)
    settle_order(books, opened)
    left = opened.ticket_now(code).waiting if named.is_ticket else 0
    return wording_books.cancelled(code, sum(step.count for step in steps), left)


def _cancel_all(books: Books, opened: OpenOrder) -> list[Step]:
    """All that is left of an order. Items that are not checked yet get a ticket, so that they are counted."""
    for item in opened.unissued:
        issue_first(books, opened, item)
    live = [ticket for ticket in opened.tickets_now() if ticket.waiting]
    if not live:
        raise wording.nothing_to_cancel(opened.order.number, "all are dispatched, cancelled or refused")
    return [step for ticket in live for step in plan_cancel(books.route, ticket, None)]


def _answer_questions(books: Books, opened: OpenOrder, items: list[Item], answer: _Answer) -> None:
    by, note = answer.by, answer.note
    for item in items:
        latest = select(Revision).where(Revision.item_id == item.id, Revision.number == item.revision)
        if books.session.exec(latest).one().verdict == "refuse":
            code = next(opened.tickets_of(item)).code
            raise wording.artwork_not_usable(code, item.refused_slug)
        item.standing = ACCEPTED
        item.released_by, item.released_note = by, note
        told: dict[str, Any] = {"note": note, "standing": ACCEPTED, "revision": item.revision}
        if answer.remember and remember_release(books, item, by, note):
            told["remembered"] = True
        books.note("released", opened.about_item(item), by, **told)
    tell_released(books, opened, items, note)


def _open(books: Books, code: str) -> tuple[Named, OpenOrder]:
    named = find_named(books, code)
    if named.is_run:
        raise wording.run_is_no_order(code)
    return named, open_order(books, named.order_ids[0])


def _held_row(named: Named, opened: OpenOrder) -> Order | Ticket:
    return opened.tickets[named.code] if named.is_ticket else opened.order


def _about(named: Named, opened: OpenOrder) -> About:
    return opened.about(named.code) if named.is_ticket else opened.about_order()
