"""What is still to be made: artwork to check, tickets to print, reports to write."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import exists, func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, or_, select

from tickets.models import Item, Lot, Order, Ticket
from tickets.order_facts import Finding
from tickets.places import ENDS
from tickets.standing import ACCEPTED, QUERIED, REFUSED, UNCHECKED
from tickets.store import Store


@dataclass(frozen=True, slots=True)
class DueOrder:
    """The order that something is due for. `due` as the order file wrote it, `due_at` in UTC."""

    order_id: int
    number: str
    customer_name: str
    customer_email: str
    customer_phone: str
    purchase_order: str
    due: str
    due_at: datetime | None
    rush: bool
    held_why: str | None
    source_folder: str
    taken_at: datetime


@dataclass(frozen=True, slots=True)
class DueItem:
    """The item that something is due for. Lengths in mm; findings and measures as `check --json` has them."""

    item_id: int
    number: int
    revision: int
    standing: str
    artwork: str
    artwork_sha256: str
    page: int | None
    ordered_width_mm: float | None
    ordered_height_mm: float | None
    print_width_mm: float | None
    print_height_mm: float | None
    quantity: int
    service: str
    placement: str
    garment: str
    garment_colour: str
    fabric: str
    sizes: Mapping[str, int]
    garment_set: str
    film: str
    note: str
    mirrored: bool
    may_turn: bool
    order_queries: tuple[Finding, ...]
    findings: tuple[Finding, ...]
    measures: Mapping[str, Any]
    refused_slug: str
    released_by: str
    released_note: str


@dataclass(frozen=True, slots=True)
class UncheckedItem:
    """An item whose artwork is to be checked."""

    order: DueOrder
    item: DueItem

    @property
    def item_id(self) -> int:
        """The item's row."""
        return self.item.item_id

    @property
    def revision(self) -> int:
        """The artwork of it that is to be checked."""
        return self.item.revision


@dataclass(frozen=True, slots=True)
class PaperDue:
    """A ticket whose paper is to be printed, the first time or for a corrected artwork."""

    order: DueOrder
    item: DueItem
    code: str
    quantity: int
    reprint_of: str | None
    held_why: str | None
    issued_at: datetime
    rush: bool = False  # of the ticket itself: pieces that are remade

    @property
    def revision(self) -> int:
        """What to tell the ledger when it is printed."""
        return self.item.revision


@dataclass(frozen=True, slots=True)
class ReportDue:
    """An order whose customer is to be told; `items` are all of it, `told` those not reported yet."""

    order: DueOrder
    items: tuple[DueItem, ...]
    codes: Mapping[int, str]  # item row → its first ticket's code, where it has one
    told: frozenset[int]  # item rows

    @property
    def revisions(self) -> dict[int, int]:
        """What to tell the ledger when it is written: item row → the revision that was reported."""
        return {item.item_id: item.revision for item in self.items if item.item_id in self.told}


def unchecked_items(store: Store) -> list[UncheckedItem]:
    """Items to be checked: rush first, then the soonest due, then as they came."""
    asked = (
        select(Item, Order)
        .join(Order, col(Order.id) == col(Item.order_id))
        .where(col(Item.standing) == UNCHECKED)
        .order_by(col(Order.rush).desc(), col(Order.due_at).is_(None), col(Order.due_at), col(Item.id))
    )
    with store.reading() as session:
        return [UncheckedItem(_due_order(order), _due_item(item)) for item, order in session.exec(asked)]


def ticket_item(store: Store, code: str) -> tuple[UncheckedItem, str] | None:
    """A ticket's item as the check takes it, and how it stands; None when no ticket has this code."""
    asked = (
        select(Item, Order)
        .join(Order, col(Order.id) == col(Item.order_id))
        .join(Ticket, col(Ticket.item_id) == col(Item.id))
        .where(Ticket.code == code)
    )
    with store.reading() as session:
        found = session.exec(asked).first()
        return (
            (UncheckedItem(_due_order(found[1]), _due_item(found[0])), found[0].standing) if found else None
        )


def due_papers(store: Store) -> list[PaperDue]:
    """Tickets without paper of their item's last revision, accepted and with pieces still in the house."""
    in_house = exists().where(col(Lot.ticket_id) == col(Ticket.id), col(Lot.place).not_in(ENDS))
    return _papers(store, col(Ticket.papered_revision) < col(Item.revision), in_house)


def written_papers(store: Store) -> list[PaperDue]:
    """Tickets of open orders whose paper was written for their item's last revision: it should be there."""
    return _papers(store, col(Ticket.papered_revision) >= col(Item.revision))


def _papers(store: Store, *where: Any) -> list[PaperDue]:
    first = aliased(Ticket)
    asked = (
        select(Ticket, Item, Order, first.code)
        .join(Item, col(Item.id) == col(Ticket.item_id))
        .join(Order, col(Order.id) == col(Item.order_id))
        .join(first, col(first.id) == col(Ticket.reprint_of_id), isouter=True)
        .where(
            col(Item.order_id).in_(select(Order.id).where(col(Order.closed_at).is_(None))),
            # Not the bare column: nearly every item ever made is accepted, so its index would lead astray.
            func.coalesce(Item.standing, "") == ACCEPTED,
            col(Ticket.withdrawn).is_(False),
            *where,
        )
        .order_by(col(Order.rush).desc(), col(Order.due_at).is_(None), col(Order.due_at), col(Ticket.id))
    )
    with store.reading() as session:
        return [_paper(*row) for row in session.exec(asked)]


def due_reports(store: Store) -> list[ReportDue]:
    """Orders with a question or a refusal that was not told yet, once nothing of them is unchecked."""
    other = aliased(Item)
    being_checked = exists().where(col(other.order_id) == col(Order.id), col(other.standing) == UNCHECKED)
    asked = (
        select(Order)
        .where(
            col(Order.id).in_(select(Item.order_id).where(*_untold())),
            ~being_checked,
        )
        .order_by(col(Order.id))
    )
    with store.reading() as session:
        orders = list(session.exec(asked))
        return _reports(session, orders) if orders else []


def _untold() -> tuple[Any, ...]:
    asked = or_(col(Item.standing) == QUERIED, col(Item.standing) == REFUSED)
    return (asked, col(Item.reported_revision) < col(Item.revision))


def _reports(session: Session, orders: list[Order]) -> list[ReportDue]:
    ids = [order.id for order in orders]
    items: dict[int, list[Item]] = {}
    for item in session.exec(select(Item).where(col(Item.order_id).in_(ids)).order_by(col(Item.number))):
        items.setdefault(item.order_id, []).append(item)
    item_ids = [item.id for several in items.values() for item in several]
    rows = session.exec(
        select(Ticket.item_id, Ticket.code, Ticket.reprint_of_id).where(col(Ticket.item_id).in_(item_ids))
    )
    codes = {item_id: code for item_id, code, reprint_of in rows if reprint_of is None}
    return [_report(order, items.get(_row_id(order.id), []), codes) for order in orders]


def _report(order: Order, items: list[Item], codes: Mapping[int, str]) -> ReportDue:
    untold = (i for i in items if i.standing in (QUERIED, REFUSED) and i.reported_revision < i.revision)
    told = frozenset(_row_id(item.id) for item in untold)
    due_items = tuple(_due_item(item) for item in items)
    own_codes = {item.item_id: codes[item.item_id] for item in due_items if item.item_id in codes}
    return ReportDue(_due_order(order), due_items, own_codes, told)


def _paper(ticket: Ticket, item: Item, order: Order, reprint_of: str | None) -> PaperDue:
    return PaperDue(
        order=_due_order(order),
        item=_due_item(item),
        code=ticket.code,
        quantity=ticket.quantity,
        reprint_of=reprint_of,
        held_why=ticket.held_why,
        issued_at=ticket.issued_at,
        rush=ticket.rush,
    )


def _due_order(order: Order) -> DueOrder:
    return DueOrder(
        order_id=_row_id(order.id),
        number=order.number,
        customer_name=order.customer_name,
        customer_email=order.customer_email,
        customer_phone=order.customer_phone,
        purchase_order=order.purchase_order,
        due=order.due,
        due_at=order.due_at,
        rush=order.rush,
        held_why=order.held_why,
        source_folder=order.source_folder,
        taken_at=order.taken_at,
    )


def _due_item(item: Item) -> DueItem:
    return DueItem(
        item_id=_row_id(item.id),
        number=item.number,
        revision=item.revision,
        standing=item.standing,
        artwork=item.artwork,
        artwork_sha256=item.artwork_sha256,
        page=item.page,
        ordered_width_mm=item.ordered_width_mm,
        ordered_height_mm=item.ordered_height_mm,
        print_width_mm=item.print_width_mm,
        print_height_mm=item.print_height_mm,
        quantity=item.quantity,
        service=item.service,
        placement=item.placement,
        garment=item.garment,
        garment_colour=item.garment_colour,
        fabric=item.fabric,
        sizes=dict(item.sizes),
        garment_set=item.garment_set,
        film=item.film,
        note=item.note,
        mirrored=item.mirrored,
        may_turn=item.may_turn,
        order_queries=tuple(item.order_queries),
        findings=tuple(item.findings),
        measures=dict(item.measures),
        refused_slug=item.refused_slug,
        released_by=item.released_by,
        released_note=item.released_note,
    )


def _row_id(row_id: int | None) -> int:
    assert row_id is not None  # read from the books, so it has one
    return row_id
