"""Which originals the books count on, and what for: what a look over the shop folder goes by."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session, col, select

from tickets.models import Arrival, Item, Order, Original, Revision
from tickets.store import Store

_SAFE = ("taken", "duplicate", "conflict", "refused")  # standings of files whose bytes must be kept


@dataclass(frozen=True, slots=True)
class KeptFile:
    """An original that must be there. `size` in bytes, None when the books don't say; `why` names its use."""

    sha256: str
    size: int | None
    why: str


def kept_files(store: Store) -> list[KeptFile]:
    """Every original that the books name, once, by its hash: of orders, of their history, of arrivals."""
    why: dict[str, str] = {}
    with store.reading() as session:
        sizes = {row.sha256: row.size for row in session.exec(select(Original))}
        _add_artwork(session, why)
        arrivals = select(Arrival.sha256, Arrival.path, Arrival.size).where(
            col(Arrival.standing).in_(_SAFE), col(Arrival.sha256) != ""
        )
        for sha256, path, size in session.exec(arrivals):
            why.setdefault(sha256, path)
            sizes.setdefault(sha256, size)
    return [KeptFile(s, sizes.get(s), why.get(s, "a file taken in")) for s in sorted(sizes.keys() | why)]


def _add_artwork(session: Session, why: dict[str, str]) -> None:
    items = select(Item.artwork_sha256, Item.artwork, Order.number).join(
        Order, col(Order.id) == col(Item.order_id)
    )
    earlier = (
        select(Revision.artwork_sha256, Revision.artwork, Order.number)
        .join(Item, col(Item.id) == col(Revision.item_id))
        .join(Order, col(Order.id) == col(Item.order_id))
    )
    for asked in (items, earlier):
        for sha256, artwork, number in session.exec(asked):
            if sha256:
                why.setdefault(sha256, f"{artwork} of {number}")
