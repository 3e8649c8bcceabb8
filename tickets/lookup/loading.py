"""Orders by the dozen or the thousand, read with the same few queries however many they are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, bindparam, case, exists, func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from tickets.models import Item, Lot, Movement, Order, Scan, Ticket
from tickets.order_facts import ItemFacts, LastScan, OrderFacts, TicketFacts
from tickets.places import SPOILED
from tickets.standing import Pieces

_AT_ONCE = 500  # orders a query: well below the number of values that any database takes
_WORK = "scan"  # the kind of scan that is work at a station; the others lay in runs, cancel, take back

_ORDER_COLUMNS = (
    Order.id,
    Order.number,
    Order.customer_name,
    Order.customer_email,
    Order.customer_phone,
    Order.purchase_order,
    Order.due,
    Order.due_at,
    Order.held_why,
    Order.rush,
    Order.taken_at,
)
_ITEM_COLUMNS = (
    Item.id,
    Item.order_id,
    Item.number,
    Item.artwork,
    Item.artwork_sha256,
    Item.quantity,
    Item.service,
    Item.standing,
    Item.garment,
    Item.placement,
    Item.findings,
    Item.order_queries,
    Item.refused_slug,
)


_TICKET_COLUMNS = (
    Ticket.id,
    Ticket.item_id,
    Ticket.code,
    Ticket.reprint_of_id,
    Ticket.quantity,
    Ticket.held_why,
    Ticket.rush,
)
_IDS: Any = bindparam("ids", expanding=True)  # of orders; the statements are put together once


def _select(*columns: Any) -> Any:
    return select(*columns)


def _of_orders(asked: Any, ticket_id: Any) -> Any:
    """Only what belongs to tickets of these orders."""
    return (
        asked.join(Ticket, col(Ticket.id) == col(ticket_id))
        .join(Item, col(Item.id) == col(Ticket.item_id))
        .where(col(Item.order_id).in_(_IDS))
    )


def _last_scans() -> Any:
    """The last work at a station for each ticket, scans that were taken back left out."""
    undo = aliased(Scan)
    counts = (col(Movement.from_place) == col(Scan.station), col(Scan.kind) == _WORK)
    newest = (
        _of_orders(
            _select(col(Movement.ticket_id).label("ticket_id"), func.max(Scan.id).label("scan_id")),
            Movement.ticket_id,
        )
        .join(Scan, col(Scan.id) == col(Movement.scan_id))
        .where(*counts, ~exists().where(col(undo.undoes_id) == col(Scan.id)))
        .group_by(col(Movement.ticket_id))
        .subquery()
    )
    is_spoiled = col(Movement.to_place) == SPOILED
    spoiled = func.sum(case((is_spoiled, col(Movement.count)), else_=0)).label("spoiled")
    counted = func.sum(col(Movement.count)).label("counted")
    return (
        _select(Movement.ticket_id, Scan.at, Scan.station, Scan.by, spoiled, counted)
        .join(Scan, col(Scan.id) == col(Movement.scan_id))
        .join(newest, (newest.c.scan_id == Scan.id) & (newest.c.ticket_id == Movement.ticket_id))
        .where(col(Movement.from_place) == col(Scan.station))
        .group_by(Movement.ticket_id, Scan.id, Scan.at, Scan.station, Scan.by)
    )


_ORDERS = _select(*_ORDER_COLUMNS).where(col(Order.id).in_(_IDS))
_ITEMS = _select(*_ITEM_COLUMNS).where(col(Item.order_id).in_(_IDS)).order_by(col(Item.number))
_TICKETS = (
    _select(*_TICKET_COLUMNS)
    .join(Item, col(Item.id) == col(Ticket.item_id))
    # A withdrawn ticket is history: it has no pieces.
    .where(col(Item.order_id).in_(_IDS), col(Ticket.withdrawn).is_(False))
    .order_by(col(Ticket.id))
)
_LOTS = _of_orders(_select(Lot.ticket_id, Lot.place, Lot.run, col(Lot.count).label("pieces")), Lot.ticket_id)
_LAST_SCANS = _last_scans()


def load_orders(session: Session, order_ids: Sequence[int]) -> list[OrderFacts]:
    """The orders of these ids, in their order; ids that are not in the books are passed over."""
    return list(read_orders(session, order_ids))


def read_orders(session: Session, order_ids: Sequence[int]) -> Iterator[OrderFacts]:
    """As `load_orders`, a few hundred at a time, so that a long list starts at once."""
    for start in range(0, len(order_ids), _AT_ONCE):
        some = list(order_ids[start : start + _AT_ONCE])
        reading = _Reading(session, some)
        items = reading.items()
        orders = {row.id: _order(row, tuple(items.get(row.id, ()))) for row in reading.rows(_ORDERS)}
        yield from (orders[order_id] for order_id in some if order_id in orders)


@dataclass(frozen=True, slots=True)
class _Reading:
    """A few hundred orders, read part by part in one transaction."""

    session: Session
    ids: list[int]

    def rows(self, asked: Any) -> Sequence[Row[Any]]:
        return self.session.connection().execute(asked, {"ids": self.ids}).all()

    def items(self) -> dict[int, list[ItemFacts]]:
        """The items by order."""
        tickets = self.tickets()
        items: dict[int, list[ItemFacts]] = defaultdict(list)
        for row in self.rows(_ITEMS):
            items[row.order_id].append(_item(row, tuple(tickets.get(row.id, ()))))
        return items

    def tickets(self) -> dict[int, list[TicketFacts]]:
        """The tickets by item, first tickets before reprints."""
        rows = self.rows(_TICKETS)
        codes = {row.id: row.code for row in rows}
        lots, last = self.lots(), self.last_scans()
        tickets: dict[int, list[TicketFacts]] = defaultdict(list)
        for row in rows:
            places, runs = lots.get(row.id, ({}, ()))
            reprint_of = codes.get(row.reprint_of_id) if row.reprint_of_id else None
            tickets[row.item_id].append(
                TicketFacts(
                    code=row.code,
                    quantity=row.quantity,
                    reprint_of=reprint_of,
                    held_why=row.held_why,
                    pieces=Pieces.at(places),
                    rush=row.rush,
                    runs=runs,
                    last=last.get(row.id),
                )
            )
        return tickets

    def lots(self) -> dict[int, tuple[dict[str, int], tuple[str, ...]]]:
        """Where the pieces of each ticket are, and the runs that they are in."""
        places: dict[int, dict[str, int]] = defaultdict(dict)
        runs: dict[int, set[str]] = defaultdict(set)
        for row in self.rows(_LOTS):
            held = places[row.ticket_id]
            held[row.place] = held.get(row.place, 0) + row.pieces
            if row.run:
                runs[row.ticket_id].add(row.run)
        return {ticket_id: (held, tuple(sorted(runs[ticket_id]))) for ticket_id, held in places.items()}

    def last_scans(self) -> dict[int, LastScan]:
        """The last work on each ticket."""
        return {
            row.ticket_id: LastScan(row.at, row.station, row.counted - row.spoiled, row.spoiled, row.by)
            for row in self.rows(_LAST_SCANS)
        }


def _order(row: Row[Any], items: tuple[ItemFacts, ...]) -> OrderFacts:
    return OrderFacts(
        order_id=row.id,
        number=row.number,
        customer=row.customer_name,
        email=row.customer_email,
        phone=row.customer_phone,
        purchase_order=row.purchase_order,
        due=row.due,
        due_at=row.due_at,
        held_why=row.held_why,
        rush=row.rush,
        taken_at=row.taken_at,
        items=items,
    )


def _item(row: Row[Any], tickets: tuple[TicketFacts, ...]) -> ItemFacts:
    return ItemFacts(
        number=row.number,
        artwork=row.artwork,
        artwork_sha256=row.artwork_sha256,
        quantity=row.quantity,
        service=row.service,
        standing=row.standing,
        garment=row.garment,
        placement=row.placement,
        findings=tuple(row.findings or ()),
        order_queries=tuple(row.order_queries or ()),
        refused_slug=row.refused_slug,
        tickets=tickets,
    )
