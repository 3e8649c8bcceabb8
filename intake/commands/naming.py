"""What a typed or scanned text means in an opened shop: a ticket, a run, or an order number."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from intake.shop import Shop


def is_ticket_code(named: str) -> bool:
    """Whether a name that `name_thing` gave is a ticket's."""
    from tickets.lookup import naming

    return naming.is_ticket_code(named)


def name_thing(opened: Shop, text: str, *, orders: bool) -> str:
    """As `tickets.lookup.naming.name_thing`, in this shop's books."""
    from tickets.lookup import naming

    return naming.name_thing(opened.store, text, orders=orders)
