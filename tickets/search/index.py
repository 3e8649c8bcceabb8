"""An order's search text and its words, written in the transaction that books the order."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from sqlalchemy import text
from sqlmodel import Session, col, select

from tickets.search.terms import Searchable, order_lines, words_to_spell

if TYPE_CHECKING:
    from tickets.models import Item, Order

# Sorted words in one statement order: two writers cannot lock each other out.
_ADD_WORD = text("INSERT INTO search_words (word) VALUES (:word) ON CONFLICT DO NOTHING")


def index_order(session: Session, order: Order, items: Iterable[Item] | None = None) -> None:
    """Write what callers may say of this order, in the caller's transaction; triggers keep the indexes.

    `items` None: those that are booked. To be called when an order is taken or its items' names change.
    """
    if items is None:
        from tickets.models import Item as Items  # here: who only searches needs no tables

        session.flush()
        asked = select(Items).where(Items.order_id == order.id).order_by(col(Items.number))
        items = session.exec(asked).all()
    lines = order_lines(searchable(order, items, _parcels(session, order)))
    order.search_text = "\n".join(lines)
    words = words_to_spell(lines)
    if words:
        session.execute(_ADD_WORD, [{"word": word} for word in words])


def _parcels(session: Session, order: Order) -> tuple[str, ...]:
    """Numbers of its parcels that a caller may read out."""
    if order.id is None:
        return ()
    from tickets.models_packing import Parcel

    asked = select(Parcel).where(Parcel.order_id == order.id, col(Parcel.removed_at).is_(None))
    parcels = session.exec(asked.order_by(col(Parcel.number))).all()
    return tuple(dict.fromkeys(n for p in parcels for n in (p.consignment, p.sscc) if n))


def searchable(order: Order, items: Iterable[Item], parcels: tuple[str, ...] = ()) -> Searchable:
    """The fields of an order and its items that a caller may name."""
    listed = list(items)
    return Searchable(
        number=order.number,
        customer_name=order.customer_name,
        purchase_order=order.purchase_order,
        email=order.customer_email,
        phone=order.customer_phone,
        artworks=tuple(dict.fromkeys(i.artwork for i in listed)),
        garments=tuple(dict.fromkeys(g for i in listed for g in (i.garment, i.placement) if g)),
        parcels=parcels,
    )
