"""Answers on smaller sizes that save film: kept for the same art and size; only a yes is printed so."""

from __future__ import annotations

from sqlmodel import col, func, select

from tickets import wording_sizes as wording
from tickets.film.advice import Advice
from tickets.ledger.books import Books
from tickets.ledger.inserting import insert_or_update
from tickets.ledger.opening import OpenOrder, find_named, open_order
from tickets.ledger.orders import resize
from tickets.models import Item, Order
from tickets.models_film import SizeAnswer
from tickets.pieces import Spot
from tickets.standing import ACCEPTED, QUERIED
from tickets.wording_floor import needs_name, which_ticket

SAME_MM = 0.006  # sizes are kept to a hundredth
TENTH_MM = 0.06


def answer_size(books: Books, advice: Advice, by: str, *, is_yes: bool) -> str:
    """Keep the customer's answer on an advised size; after a yes the artwork is checked anew at that size.

    Returns the sentence. Raises ShopProblem `needs-name`, `which-ticket`, `size-too-late`, `code-not-known`.
    """
    if not by.strip():
        raise needs_name()
    named = find_named(books, advice.code)
    if not named.is_ticket:
        raise which_ticket(advice.code, [])
    opened = open_order(books, named.order_ids[0])
    item = opened.item_of(advice.code)
    if is_yes and not _is_loose(books, opened, item):
        raise wording.size_too_late(advice.code)
    width_mm, height_mm = round(advice.width_mm, 1), round(advice.height_mm, 1)
    row = SizeAnswer(
        artwork_sha256=item.artwork_sha256,
        page=item.page or 0,
        print_width_mm=round(item.print_width_mm or 0.0, 2),
        is_yes=is_yes,
        width_mm=width_mm,
        height_mm=height_mm,
        by=by,
        at=books.now,
    )
    changes = {"is_yes": is_yes, "width_mm": width_mm, "height_mm": height_mm, "by": by, "at": books.now}
    insert_or_update(books.session, row, ("artwork_sha256", "page", "print_width_mm"), changes)
    if not is_yes:
        books.note("size-kept", opened.about_item(item), by, advised=[width_mm, height_mm])
        return wording.size_kept(advice.code)
    resize(books, opened, item, (width_mm, height_mm), by)
    return wording.size_changed(advice.code, width_mm, height_mm)


def apply_agreed(books: Books, opened: OpenOrder, item: Item) -> bool:
    """Print an item smaller that was accepted as ordered, where its customer said yes to that before.

    The yes was said of the same artwork at the same size, and the same customer's item was printed so: who
    else sends that artwork is asked. It is checked anew at that size. Returns whether there was such a yes.
    """
    asked = select(SizeAnswer).where(
        SizeAnswer.artwork_sha256 == item.artwork_sha256,
        SizeAnswer.page == (item.page or 0),
        col(SizeAnswer.is_yes),
        func.abs(col(SizeAnswer.print_width_mm) - (item.print_width_mm or 0.0)) < SAME_MM,
    )
    answer = books.session.exec(asked).first()
    if answer is None or not _is_customers(books, opened, item, answer) or not _is_loose(books, opened, item):
        return False
    resize(books, opened, item, (answer.width_mm, answer.height_mm), answer.by)
    return True


def _is_customers(books: Books, opened: OpenOrder, item: Item, answer: SizeAnswer) -> bool:
    """Whether another item of this customer is printed at the size that was agreed."""
    asked = (
        select(Item.id)
        .join(Order)
        .where(Order.customer_name == opened.order.customer_name, Item.id != item.id)
        .where(Item.artwork_sha256 == item.artwork_sha256)
        .where(func.abs(col(Item.ordered_width_mm) - answer.width_mm) < TENTH_MM)
    )
    return books.session.exec(asked).first() is not None


def _is_loose(books: Books, opened: OpenOrder, item: Item) -> bool:
    """Whether all of an item waits at the first station, in no run: nothing is printed at the old size."""
    spots = {spot for now in opened.tickets_of(item) for spot in now.lots}
    return item.standing in (ACCEPTED, QUERIED) and spots == {Spot(books.route.first(item.service))}
