"""What left the house of an order: its dispatches as packing slips list them, its parcels, what is due."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from tickets.lookup.answers import utc_text
from tickets.lookup.finding import order_not_known
from tickets.models import Item, Order
from tickets.models_packing import Dispatch, DispatchScan, Parcel
from tickets.packing import Counts, Packed, PackedItem, pack_items
from tickets.store import Store
from tickets.wording_parcels import no_such_parcel


@dataclass(frozen=True, slots=True)
class ParcelAnswer:
    """One parcel; `slip` is the number of the dispatch that it went with, None while it waits for one."""

    order: str
    customer: str
    purchase_order: str
    ship_to: tuple[str, ...]
    number: int
    weight_g: int | None
    consignment: str
    sscc: str
    slip: int | None
    at: datetime

    @property
    def code(self) -> str:
        """What its label's QR code says, and what the desk can type: the order, and the parcel's number."""
        return f"{self.order}/{self.number}"

    @property
    def weight_kg(self) -> float | None:
        """In kilograms."""
        return None if self.weight_g is None else self.weight_g / 1000

    def as_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "order": self.order,
            "parcel": self.number,
            "weight_kg": self.weight_kg,
            "consignment": self.consignment or None,
            "sscc": self.sscc or None,
            "slip": self.slip,
            "at": utc_text(self.at),
        }


@dataclass(frozen=True, slots=True)
class SlipAnswer:
    """One packing slip: whose it is, what it lists, and the parcels that it went in."""

    dispatch_id: int
    order: str
    customer: str
    purchase_order: str
    ship_to: tuple[str, ...]
    number: int
    revision: int
    is_papered: bool
    at: datetime
    voided_at: datetime | None
    collected_by: str
    by: str
    packed: Packed
    parcels: tuple[ParcelAnswer, ...]

    @property
    def is_part(self) -> bool:
        """Whether something is still to follow."""
        return bool(self.packed.follows)

    def as_json(self) -> dict[str, Any]:
        """Plain values, times in UTC."""
        return {
            "slip": self.number,
            "at": utc_text(self.at),
            "void": self.voided_at is not None,
            "collected_by": self.collected_by or None,
            "by": self.by,
            **self.packed.as_json(),
            "parcels": [parcel.as_json() for parcel in self.parcels],
        }


def order_slips(store: Store, number: str) -> list[SlipAnswer]:
    """The packing slips of an order, void ones too, the first first. Raises NotFound `order-not-known`."""
    with store.reading() as session:
        order = session.exec(select(Order).where(Order.number == number)).first()
        if order is None:
            raise order_not_known(number)
        return _slips(session, order)


def due_slips(store: Store) -> list[SlipAnswer]:
    """Slips that are not printed yet, or have changed since."""
    with store.reading() as session:
        due = select(Dispatch.order_id).where(col(Dispatch.is_papered).is_(False))
        orders = session.exec(select(Order).where(col(Order.id).in_(due)).order_by(col(Order.id))).all()
        return [slip for order in orders for slip in _slips(session, order) if not slip.is_papered]


def find_parcel(store: Store, order: str, number: int) -> ParcelAnswer:
    """One parcel of an order. Raises NotFound `order-not-known`, `no-such-parcel`."""
    for parcel in order_parcels(store, order):
        if parcel.number == number:
            return parcel
    raise no_such_parcel(order, number)


def sent_with(store: Store, scans: Sequence[int]) -> list[SlipAnswer]:
    """The dispatches that these scans of one order were booked with, void ones left out."""
    with store.reading() as session:
        mine = select(DispatchScan.dispatch_id).where(col(DispatchScan.scan_id).in_(scans))
        orders = select(Order).join(Dispatch).where(col(Dispatch.id).in_(mine)).distinct()
        found = set(session.exec(mine))
        slips = [slip for order in session.exec(orders).all() for slip in _slips(session, order)]
    return [slip for slip in slips if slip.dispatch_id in found and slip.voided_at is None]


def order_ship_to(store: Store, number: str) -> tuple[str, ...]:
    """The lines of the address that an order is sent to; none where it names none, or nobody knows it."""
    with store.reading() as session:
        document = session.exec(select(Order.document).where(Order.number == number)).first()
        return ship_to_of(document or "")


def order_parcels(store: Store, number: str) -> list[ParcelAnswer]:
    """The parcels of an order in their order. Raises NotFound `order-not-known`."""
    with store.reading() as session:
        order = session.exec(select(Order).where(Order.number == number)).first()
        if order is None:
            raise order_not_known(number)
        return [parcel for _, parcel in _parcels(session, order)]


def _slips(session: Session, order: Order) -> list[SlipAnswer]:
    own = select(Dispatch).where(Dispatch.order_id == order.id).order_by(col(Dispatch.number))
    dispatches = session.exec(own).all()
    items = session.exec(select(Item).where(Item.order_id == order.id).order_by(col(Item.number))).all()
    parcels = _parcels(session, order)
    return [_slip(order, one, items, parcels) for one in dispatches]


def _slip(
    order: Order,
    dispatch: Dispatch,
    items: Sequence[Item],
    parcels: Sequence[tuple[int | None, ParcelAnswer]],
) -> SlipAnswer:
    return SlipAnswer(
        dispatch_id=dispatch.id or 0,
        order=order.number,
        customer=order.customer_name,
        purchase_order=order.purchase_order,
        ship_to=ship_to_of(order.document),
        number=dispatch.number,
        revision=dispatch.revision,
        is_papered=dispatch.is_papered,
        at=dispatch.at,
        voided_at=dispatch.voided_at,
        collected_by=dispatch.collected_by,
        by=dispatch.by,
        packed=pack_items([_packed(item, dispatch.counts) for item in items]),
        parcels=tuple(parcel for dispatch_id, parcel in parcels if dispatch_id == dispatch.id),
    )


def _packed(item: Item, counts: dict[str, Any]) -> PackedItem:
    return PackedItem(
        item.number,
        item.artwork,
        item.service,
        item.placement,
        item.garment,
        item.garment_set,
        tuple((size, count) for size, count in item.sizes.items() if count),
        Counts.from_json(counts.get(str(item.number), {})),
    )


def _parcels(session: Session, order: Order) -> list[tuple[int | None, ParcelAnswer]]:
    asked = (
        select(Parcel, Dispatch.number)
        .join(Dispatch, col(Dispatch.id) == col(Parcel.dispatch_id), isouter=True)
        .where(Parcel.order_id == order.id, col(Parcel.removed_at).is_(None))
        .order_by(col(Parcel.number))
    )
    ship_to = ship_to_of(order.document)
    return [
        (
            parcel.dispatch_id,
            ParcelAnswer(
                order.number,
                order.customer_name,
                order.purchase_order,
                ship_to,
                parcel.number,
                parcel.weight_g,
                parcel.consignment,
                parcel.sscc,
                slip,
                parcel.at,
            ),
        )
        for parcel, slip in session.exec(asked)
    ]


def ship_to_of(document: str) -> tuple[str, ...]:
    """The lines of the address that an order is sent to, from the order as it was taken."""
    try:
        read = json.loads(document)
    except ValueError:
        return ()
    lines = read.get("ship_to") if isinstance(read, dict) else None
    return tuple(str(line) for line in lines) if isinstance(lines, list) else ()
