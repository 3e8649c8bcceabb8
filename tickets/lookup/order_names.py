"""Whose orders these are: names of customers by order number."""

from __future__ import annotations

from collections.abc import Collection

from sqlmodel import col, select

from tickets.models import Order
from tickets.store import Store


def customers_of(store: Store, orders: Collection[str]) -> dict[str, str]:
    """The customers' names of some orders; orders that are not in the books are left out."""
    asked = select(Order.number, Order.customer_name).where(col(Order.number).in_(sorted(orders)))
    with store.reading() as session:
        return dict(session.exec(asked).all())
