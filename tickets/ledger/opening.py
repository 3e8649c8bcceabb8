"""Finding what a code means and opening its order: locked against other writers, then read whole."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from sqlmodel import col, select

from tickets.codes import RUN_LETTER
from tickets.ledger.books import About, Books
from tickets.models import Item, Lot, Movement, Order, Ticket
from tickets.pieces import Spot, TicketNow
from tickets.standing import REFUSED
from tickets.wording_floor import no_such_code, ticket_withdrawn


@dataclass(frozen=True, slots=True)
class Named:
    """What a code means: a ticket of an order, a film run with pieces of some, or an order."""

    code: str
    order_ids: tuple[int, ...]
    is_ticket: bool = False
    is_run: bool = False


@dataclass
class OpenOrder:
    """One order with all that belongs to it, as it is while nobody else can change it."""

    order: Order
    items: dict[int, Item]  # by row number, as they stand in the order file
    tickets: dict[str, Ticket]  # by code, oldest first
    lots: dict[str, dict[Spot, int]] = field(default_factory=dict)  # by ticket code

    @property
    def id(self) -> int:
        """The order's row number."""
        return row_id(self.order.id)

    def item_of(self, code: str) -> Item:
        """The item that a ticket is of."""
        return self.items[self.tickets[code].item_id]

    def ticket_now(self, code: str) -> TicketNow:
        """One ticket as plans want it."""
        ticket, item = self.tickets[code], self.item_of(code)
        return TicketNow(
            code,
            item.service,
            self.lots.get(code, {}),
            item.standing,
            ticket.held_why,
            self.order.number,
            self.order.held_why,
        )

    def tickets_now(self) -> list[TicketNow]:
        """All tickets, oldest first."""
        return [self.ticket_now(code) for code in self.tickets]

    def tickets_of(self, item: Item) -> Iterator[TicketNow]:
        """The tickets of one item, oldest first."""
        return (self.ticket_now(code) for code, t in self.tickets.items() if t.item_id == item.id)

    @property
    def unissued(self) -> list[Item]:
        """Items that have no ticket yet and are not refused: their pieces are live all the same."""
        issued = {ticket.item_id for ticket in self.tickets.values()}
        return [i for key, i in self.items.items() if key not in issued and i.standing != REFUSED]

    def about_order(self) -> About:
        """The order's row number, for its events."""
        return About(self.id)

    def about_item(self, item: Item) -> About:
        """The row numbers of one of its items, for its events."""
        return About(self.id, row_id(item.id))

    def about(self, code: str) -> About:
        """The row numbers behind a ticket code, for its events."""
        ticket = self.tickets[code]
        return About(self.id, ticket.item_id, row_id(ticket.id))


def row_id(number: int | None) -> int:
    """The number of a row that is in the database."""
    if number is None:
        raise RuntimeError("a row was used before it was in the database")
    return number


def find_named(books: Books, code: str) -> Named:
    """What a ticket code, run code or order number means.

    Raises NotFound `code-not-known`, ShopProblem `ticket-withdrawn`.
    """
    asked = (
        select(Ticket.withdrawn, Ticket.reprint_of_id, Item.order_id).join(Item).where(Ticket.code == code)
    )
    found = books.session.exec(asked).first()
    if found is not None:
        withdrawn, reprint_of_id, order_id = found
        if withdrawn:
            first = books.session.exec(select(Ticket.code).where(Ticket.id == reprint_of_id)).one()
            raise ticket_withdrawn(code, first)
        return Named(code, (order_id,), is_ticket=True)
    order = books.session.exec(select(Order.id).where(Order.number == code)).first()
    if order is not None:
        return Named(code, (row_id(order),))
    runs = orders_of_run(books, code) if code.startswith(RUN_LETTER) else ()
    if runs:
        return Named(code, runs, is_run=True)
    raise no_such_code(code)


def orders_of_run(books: Books, run: str) -> tuple[int, ...]:
    """The orders that have, or had, pieces in a film run."""
    held = select(Item.order_id).join(Ticket).join(Lot).where(Lot.run == run).distinct()
    found = set(books.session.exec(held)) or set(
        books.session.exec(
            select(Item.order_id).join(Ticket).join(Movement).where(Movement.to_run == run).distinct()
        )
    )
    return tuple(sorted(found))


def open_orders(books: Books, order_ids: Iterable[int]) -> dict[int, OpenOrder]:
    """Several orders, locked in the order of their numbers so that two writers can't lock each other out."""
    return {order_id: open_order(books, order_id) for order_id in sorted(set(order_ids))}


def open_order(books: Books, order_id: int) -> OpenOrder:
    """Lock one order (PostgreSQL; on SQLite the writer has all) and read it as it is now."""
    locked = select(Order).where(Order.id == order_id).with_for_update(key_share=True)
    session = books.session
    order = session.exec(locked.execution_options(populate_existing=True)).one()
    items = session.exec(select(Item).where(Item.order_id == order_id).order_by(col(Item.number))).all()
    mine = select(Ticket).join(Item).where(Item.order_id == order_id).order_by(col(Ticket.id))
    tickets = session.exec(mine).all()
    opened = OpenOrder(order, {row_id(i.id): i for i in items}, {t.code: t for t in tickets})
    opened.lots = read_lots(books, opened.tickets.values())
    return opened


def read_lots(books: Books, tickets: Iterable[Ticket]) -> dict[str, dict[Spot, int]]:
    """Where the pieces of some tickets are, by ticket code."""
    codes = {ticket.id: ticket.code for ticket in tickets}
    rows = select(Lot.ticket_id, Lot.place, Lot.run, Lot.count).where(col(Lot.ticket_id).in_(codes))
    lots: dict[str, dict[Spot, int]] = defaultdict(dict)
    for ticket_id, place, run, count in books.session.exec(rows):
        lots[codes[ticket_id]][Spot(place, run)] = count
    return dict(lots)
