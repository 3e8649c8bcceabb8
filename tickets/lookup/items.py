"""The items of an order with all that was found on their artwork, and what was done at a station lately."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import exists
from sqlalchemy.orm import aliased
from sqlmodel import col, select

from tickets.lookup.answers import utc_text
from tickets.lookup.finding import order_not_known
from tickets.models import Item, Movement, Order, Scan, Ticket
from tickets.order_facts import Finding
from tickets.places import SPOILED
from tickets.standing import QUERIED, REFUSED
from tickets.store import Store


@dataclass(frozen=True, slots=True)
class ItemPage:
    """One item for the pages. Lengths in mm; findings and measures as `check --json` has them."""

    order: str
    customer: str
    email: str
    number: int
    artwork: str
    artwork_sha256: str
    page: int | None
    revision: int
    standing: str
    quantity: int
    print_mm: tuple[float, float] | None
    placement: str
    garment: str
    garment_colour: str
    fabric: str
    sizes: Mapping[str, int]
    film: str
    mirrored: bool
    note: str
    findings: tuple[Finding, ...]
    code: str  # of its first ticket; "" when it has none
    has_paper: bool
    released_by: str
    released_note: str

    @property
    def is_queried(self) -> bool:
        """Whether its customer has not answered yet."""
        return self.standing == QUERIED

    @property
    def is_refused(self) -> bool:
        """Whether it cannot be printed as it is."""
        return self.standing == REFUSED

    def as_json(self) -> dict[str, Any]:
        """Plain values of an open question."""
        return {
            "order": self.order,
            "customer": self.customer,
            "email": self.email or None,
            "item": self.number,
            "artwork": self.artwork,
            "artwork_sha256": self.artwork_sha256,
            "code": self.code or None,
            "quantity": self.quantity,
            "print_mm": list(self.print_mm) if self.print_mm else None,
            "findings": list(self.findings),
        }


def items_of(store: Store, number: str) -> list[ItemPage]:
    """The items of an order. Raises NotFound `order-not-known`."""
    found = _items(store, col(Order.number) == number)
    if not found:
        raise order_not_known(number)
    return found


def open_questions(store: Store) -> list[ItemPage]:
    """Every item whose customer is asked, the soonest due first."""
    return _items(store, col(Item.standing) == QUERIED, col(Order.closed_at).is_(None))


def _items(store: Store, *conditions: Any) -> list[ItemPage]:
    asked: Any = (
        select(Item, Order, Ticket)
        .join(Order, col(Order.id) == col(Item.order_id))
        .join(
            Ticket,
            (col(Ticket.item_id) == col(Item.id)) & col(Ticket.reprint_of_id).is_(None),
            isouter=True,
        )
        .where(*conditions)
        .order_by(
            col(Order.rush).desc(),
            col(Order.due_at).is_(None),
            col(Order.due_at),
            col(Order.id),
            col(Item.number),
        )
    )
    with store.reading() as session:
        return [_item_page(*row) for row in session.exec(asked)]


def _item_page(item: Item, order: Order, ticket: Ticket | None) -> ItemPage:
    width, height = item.print_width_mm, item.print_height_mm
    return ItemPage(
        order=order.number,
        customer=order.customer_name,
        email=order.customer_email,
        number=item.number,
        artwork=item.artwork,
        artwork_sha256=item.artwork_sha256,
        page=item.page,
        revision=item.revision,
        standing=item.standing,
        quantity=item.quantity,
        print_mm=(width, height) if width is not None and height is not None else None,
        placement=item.placement,
        garment=item.garment,
        garment_colour=item.garment_colour,
        fabric=item.fabric,
        sizes=dict(item.sizes),
        film=item.film,
        mirrored=item.mirrored,
        note=item.note,
        findings=(*item.order_queries, *item.findings),
        code=ticket.code if ticket else "",
        has_paper=bool(ticket and ticket.papered_revision),
        released_by=item.released_by,
        released_note=item.released_note,
    )


@dataclass(frozen=True, slots=True)
class DoneAnswer:
    """One scan that was taken at a station and still counts."""

    code: str
    good: int
    spoiled: int
    by: str
    at: datetime

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {
            "code": self.code,
            "good": self.good,
            "spoiled": self.spoiled,
            "by": self.by,
            "at": utc_text(self.at),
        }


def done_lately(store: Store, station: str, most: int = 8) -> list[DoneAnswer]:
    """The last scans at a station that were not taken back, the newest first."""
    undo = aliased(Scan)
    asked = (
        select(Scan)
        .where(
            Scan.kind == "scan",
            Scan.station == station,
            ~exists().where(col(undo.undoes_id) == col(Scan.id)),
        )
        .order_by(col(Scan.id).desc())
        .limit(most)
    )
    with store.reading() as session:
        scans = list(session.exec(asked))
        here = select(Movement).where(
            col(Movement.scan_id).in_([scan.id for scan in scans]), Movement.from_place == station
        )
        moves = list(session.exec(here))
    return [_done(scan, [move for move in moves if move.scan_id == scan.id]) for scan in scans]


def _done(scan: Scan, moves: list[Movement]) -> DoneAnswer:
    spoiled = sum(move.count for move in moves if move.to_place == SPOILED)
    return DoneAnswer(scan.code, sum(move.count for move in moves) - spoiled, spoiled, scan.by, scan.at)
