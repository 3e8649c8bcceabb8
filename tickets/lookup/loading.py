"""Orders by the dozen or the thousand, read with the same few queries however many they are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from sqlalchemy import Row, case, exists, func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from tickets.models import Item, Lot, Movement, Order, Scan, Ticket
from tickets.order_facts import ItemFacts, LastScan, OrderFacts, TicketFacts
from tickets.places import SPOILED
from tickets.standing import Pieces

_AT_ONCE = 500  # orders a query: well below the number of values that any database takes
_SCANS = ("scan", "run")  # kinds of scan that are work at a station

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


def load_orders(session: Session, order_ids: Sequence[int]) -> list[OrderFacts]:
    """The orders of these ids, in their order; ids that are not in the books are passed over."""
    return list(read_orders(session, order_ids))


def read_orders(session: Session, order_ids: Sequence[int]) -> Iterator[OrderFacts]:
    """As `load_orders`, a few hundred at a time, so that a long list starts at once."""
    for start in range(0, len(order_ids), _AT_ONCE):
        some = order_ids[start : start + _AT_ONCE]
        items = _items_of(session, some)
        rows = session.connection().execute(_select(*_ORDER_COLUMNS).where(col(Order.id).in_(some)))
        orders = {row.id: _order(row, tuple(items.get(row.id, ()))) for row in rows}
        yield from (orders[order_id] for order_id in some if order_id in orders)


def _select(*columns: Any) -> Any:
    return select(*columns)


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


def _items_of(session: Session, order_ids: Sequence[int]) -> dict[int, list[ItemFacts]]:
    asked = _select(*_ITEM_COLUMNS).where(col(Item.order_id).in_(order_ids)).order_by(col(Item.number))
    rows = session.connection().execute(asked).all()
    tickets = _tickets_of(session, order_ids)
    items: dict[int, list[ItemFacts]] = defaultdict(list)
    for row in rows:
        items[row.order_id].append(_item(row, tuple(tickets.get(row.id, ()))))
    return items


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


def _tickets_of(session: Session, order_ids: Sequence[int]) -> dict[int, list[TicketFacts]]:
    """The tickets of those orders by item, first tickets before reprints; withdrawn ones are history."""
    columns = (Ticket.id, Ticket.item_id, Ticket.code, Ticket.reprint_of_id, Ticket.quantity)
    asked = (
        _select(*columns, Ticket.held_why, Ticket.rush)
        .join(Item, col(Item.id) == col(Ticket.item_id))
        .where(col(Item.order_id).in_(order_ids), col(Ticket.withdrawn).is_(False))
        .order_by(col(Ticket.id))
    )
    rows = session.connection().execute(asked).all()
    codes = {row.id: row.code for row in rows}
    lots, last = _lots_of(session, order_ids), _last_scans_of(session, order_ids)
    tickets: dict[int, list[TicketFacts]] = defaultdict(list)
    for row in rows:
        places, runs = lots.get(row.id, ({}, ()))
        tickets[row.item_id].append(
            TicketFacts(
                code=row.code,
                quantity=row.quantity,
                reprint_of=codes.get(row.reprint_of_id) if row.reprint_of_id else None,
                held_why=row.held_why,
                pieces=Pieces.at(places),
                rush=row.rush,
                runs=runs,
                last=last.get(row.id),
            )
        )
    return tickets


def _lots_of(session: Session, order_ids: Sequence[int]) -> dict[int, tuple[dict[str, int], tuple[str, ...]]]:
    asked = _of_orders(_select(Lot.ticket_id, Lot.place, Lot.run, Lot.count), Lot.ticket_id, order_ids)
    places: dict[int, dict[str, int]] = defaultdict(dict)
    runs: dict[int, dict[str, None]] = defaultdict(dict)
    for row in session.connection().execute(asked):
        ticket_id, place, run, count = row
        places[ticket_id][place] = places[ticket_id].get(place, 0) + count
        if run:
            runs[ticket_id][run] = None
    return {ticket_id: (held, tuple(sorted(runs[ticket_id]))) for ticket_id, held in places.items()}


def _last_scans_of(session: Session, order_ids: Sequence[int]) -> dict[int, LastScan]:
    """The last work at a station for each ticket, scans that were taken back left out."""
    undo = aliased(Scan)
    at_station = (
        col(Scan.kind).in_(_SCANS),
        col(Movement.from_place) == col(Scan.station),
        ~exists().where(col(undo.undoes_id) == col(Scan.id)),
    )
    newest = (
        _of_orders(
            _select(col(Movement.ticket_id).label("ticket_id"), func.max(Scan.id).label("scan_id")),
            Movement.ticket_id,
            order_ids,
        )
        .join(Scan, col(Scan.id) == col(Movement.scan_id))
        .where(*at_station)
        .group_by(col(Movement.ticket_id))
        .subquery()
    )
    is_spoiled = col(Movement.to_place) == SPOILED
    spoiled = func.sum(case((is_spoiled, col(Movement.count)), else_=0)).label("spoiled")
    counted = func.sum(col(Movement.count)).label("counted")
    asked = (
        _select(Movement.ticket_id, Scan.at, Scan.station, Scan.by, spoiled, counted)
        .join(Scan, col(Scan.id) == col(Movement.scan_id))
        .join(newest, (newest.c.scan_id == Scan.id) & (newest.c.ticket_id == Movement.ticket_id))
        .where(col(Movement.from_place) == col(Scan.station))
        .group_by(Movement.ticket_id, Scan.id, Scan.at, Scan.station, Scan.by)
    )
    return {
        row.ticket_id: LastScan(row.at, row.station, row.counted - row.spoiled, row.spoiled, row.by)
        for row in session.connection().execute(asked)
    }


def _of_orders(asked: Any, ticket_id: Any, order_ids: Iterable[int]) -> Any:
    """Only what belongs to tickets of these orders."""
    return (
        asked.join(Ticket, col(Ticket.id) == col(ticket_id))
        .join(Item, col(Item.id) == col(Ticket.item_id))
        .where(col(Item.order_id).in_(order_ids))
    )
