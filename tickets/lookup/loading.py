"""Orders by the dozen or the thousand, read with the same few queries however many they are.

Plain SQL, alike on both databases: the tables' classes take longer to import than an order takes to find.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import JSON, Connection, Row, bindparam, text

from tickets.order_facts import ItemFacts, LastScan, OrderFacts, TicketFacts
from tickets.standing import Pieces
from tickets.utc import Utc

_AT_ONCE = 500  # orders a query: well below the number of values that any database takes


def _of_orders(sql: str, **columns: Any) -> Any:
    """A statement that is asked for the orders of some ids."""
    return text(sql).bindparams(bindparam("ids", expanding=True)).columns(**columns)


_ORDERS = _of_orders(
    """
    SELECT id, number, customer_name, customer_email, customer_phone, purchase_order, due, due_at, held_why,
        rush, taken_at
    FROM orders WHERE id IN :ids
    """,
    due_at=Utc,
    taken_at=Utc,
)
_ITEMS = _of_orders(
    """
    SELECT id, order_id, number, artwork, artwork_sha256, quantity, service, standing, garment, placement,
        findings, order_queries, refused_slug
    FROM items WHERE order_id IN :ids ORDER BY number
    """,
    findings=JSON,
    order_queries=JSON,
)
# A withdrawn ticket is history: it has no pieces.
_TICKETS = _of_orders(
    """
    SELECT t.id, t.item_id, t.code, t.reprint_of_id, t.quantity, t.held_why, t.rush
    FROM tickets AS t JOIN items AS i ON i.id = t.item_id
    WHERE i.order_id IN :ids AND NOT t.withdrawn ORDER BY t.id
    """
)
_LOTS = _of_orders(
    """
    SELECT l.ticket_id, l.place, l.run, l.count AS pieces
    FROM lots AS l JOIN tickets AS t ON t.id = l.ticket_id JOIN items AS i ON i.id = t.item_id
    WHERE i.order_id IN :ids
    """
)
# The last work at a station for each ticket. Scans that were taken back are left out, and so is what a scan
# booked on the way to its station (`from_place` another).
_LAST_SCANS = _of_orders(
    """
    WITH newest AS (
        SELECT m.ticket_id, max(s.id) AS scan_id
        FROM movements AS m JOIN scans AS s ON s.id = m.scan_id
            JOIN tickets AS t ON t.id = m.ticket_id JOIN items AS i ON i.id = t.item_id
        WHERE i.order_id IN :ids AND s.kind = 'scan' AND m.from_place = s.station
            AND NOT EXISTS (SELECT 1 FROM scans AS u WHERE u.undoes_id = s.id)
        GROUP BY m.ticket_id
    )
    SELECT m.ticket_id, s.at, s.station, s."by" AS who, sum(m.count) AS counted,
        sum(CASE WHEN m.to_place = 'spoiled' THEN m.count ELSE 0 END) AS spoiled
    FROM newest AS n JOIN scans AS s ON s.id = n.scan_id
        JOIN movements AS m ON m.scan_id = s.id AND m.ticket_id = n.ticket_id AND m.from_place = s.station
    GROUP BY m.ticket_id, s.id, s.at, s.station, s."by"
    """,
    at=Utc,
)
# What else a caller asks: the shelf, numbers of parcels that are gone, who came, and the new day of a late
# order that its customer was told (or is about to be).
_DISPATCHED = _of_orders(
    """
    SELECT order_id, 'shelf' AS kind, 0 AS number, place AS says FROM shelves
    WHERE order_id IN :ids AND place <> ''
    UNION ALL
    SELECT order_id, 'consignment', number, consignment FROM parcels
    WHERE order_id IN :ids AND removed_at IS NULL AND dispatch_id IS NOT NULL AND consignment <> ''
    UNION ALL
    SELECT order_id, 'collected', number, collected_by FROM dispatches
    WHERE order_id IN :ids AND voided_at IS NULL AND collected_by <> ''
    UNION ALL
    SELECT order_id, 'told', 0, max(about) FROM tellings
    WHERE order_id IN :ids AND kind = 'late' AND standing <> 'withdrawn' GROUP BY order_id
    ORDER BY order_id, kind, number
    """
)


def load_orders(books: Connection, order_ids: Sequence[int]) -> list[OrderFacts]:
    """The orders of these ids, in their order; ids that are not in the books are passed over."""
    return list(read_orders(books, order_ids))


def read_orders(books: Connection, order_ids: Sequence[int]) -> Iterator[OrderFacts]:
    """As `load_orders`, a few hundred at a time, so that a long list starts at once."""
    for start in range(0, len(order_ids), _AT_ONCE):
        some = list(order_ids[start : start + _AT_ONCE])
        reading = _Reading(books, some)
        items, gone = reading.items(), reading.dispatched()
        orders = {
            row.id: _order(row, tuple(items.get(row.id, ())), gone.get(row.id, {}))
            for row in reading.rows(_ORDERS)
        }
        yield from (orders[order_id] for order_id in some if order_id in orders)


@dataclass(frozen=True, slots=True)
class _Reading:
    """A few hundred orders, read part by part in one transaction."""

    books: Connection
    ids: list[int]

    def rows(self, asked: Any) -> Sequence[Row[Any]]:
        return self.books.execute(asked, {"ids": self.ids}).all()

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
                    rush=bool(row.rush),
                    runs=runs,
                    last=last.get(row.id),
                )
            )
        return tickets

    def dispatched(self) -> dict[int, dict[str, list[str]]]:
        """What is known of dispatches, by order and kind; each thing once."""
        known: dict[int, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
        for row in self.rows(_DISPATCHED):
            said = known[row.order_id][row.kind]
            if row.says not in said:
                said.append(row.says)
        return known

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
            row.ticket_id: LastScan(
                row.at, row.station, int(row.counted - row.spoiled), int(row.spoiled), row.who
            )
            for row in self.rows(_LAST_SCANS)
        }


def _order(
    row: Row[Any], items: tuple[ItemFacts, ...], dispatched: Mapping[str, Sequence[str]]
) -> OrderFacts:
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
        rush=bool(row.rush),
        taken_at=row.taken_at,
        items=items,
        shelf="".join(dispatched.get("shelf", ())),
        told_day="".join(dispatched.get("told", ())),
        consignments=tuple(dispatched.get("consignment", ())),
        collected_by=tuple(dispatched.get("collected", ())),
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
