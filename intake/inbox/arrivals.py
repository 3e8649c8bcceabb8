"""What the books remember of the inbox: files dealt with, artwork that came before, orders by number."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, func, or_, select

from intake.inbox.listing import first_level
from intake.naming import folded
from intake.shop import Shop
from tickets.models import Arrival, Item, Order, Revision

SETTLING, WAITING, TAKEN, DUPLICATE, CONFLICT, REFUSED, IGNORED = (
    "settling",
    "waiting",
    "taken",
    "duplicate",
    "conflict",
    "refused",
    "ignored",
)
SAFE = (TAKEN, DUPLICATE, CONFLICT, REFUSED)  # of these the bytes are in originals/


@dataclass(frozen=True, slots=True)
class Remembered:
    """One file as it was last dealt with. `is_open`: it still lies in the inbox, as far as the books know."""

    path: str
    fingerprint: str
    sha256: str
    standing: str
    slug: str
    says: str
    is_open: bool
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of one file of a zip, and for which order."""

    standing: str
    order: str = ""


@dataclass(frozen=True, slots=True)
class EarlierArtwork:
    """An artwork of some name that came before: its bytes, and whose it is."""

    name: str
    sha256: str
    order: str
    standing: str = ""  # of the item
    is_closed: bool = False  # nothing more is to be done for that order


def remembered_files(shop: Shop) -> dict[str, Remembered]:
    """What is open in the books, and, where taken files stay in the inbox, the last word on each of those."""
    with shop.store.reading() as session:
        rows = list(session.exec(select(Arrival).where(col(Arrival.is_open).is_(True))).all())
        if _any_folder_leaves(shop):
            last = select(func.max(Arrival.id)).group_by(col(Arrival.path_bytes))
            left = select(Arrival).where(col(Arrival.id).in_(last), col(Arrival.is_open).is_(False))
            rows += [r for r in session.exec(left).all() if r.standing in SAFE and r.is_cleared]
        found = [_remembered(os.fsdecode(row.path_bytes), row) for row in rows]
    return {f.path: f for f in found if f.is_open or is_left(shop, f.path)}


def _remembered(path: str, row: Arrival) -> Remembered:
    return Remembered(
        path, row.fingerprint, row.sha256, row.standing, row.slug, row.says, row.is_open, row.changed_at
    )


def is_left(shop: Shop, path: str) -> bool:
    """Whether taken files stay there: a cloud folder would delete the customer's own copy too."""
    return shop.settings.folder(first_level(path)).clear == "leave"


def _any_folder_leaves(shop: Shop) -> bool:
    intake = shop.settings.intake
    return intake.clear == "leave" or any(f.clear == "leave" for f in intake.folder)


def fates_in_zip(shop: Shop, fingerprint: str) -> dict[str, Fate]:
    """What became of the members of the zip with this fingerprint, by path; dropped again it has another."""
    with shop.store.reading() as session:
        query = select(Arrival).where(
            Arrival.fingerprint == fingerprint,
            col(Arrival.standing).in_(SAFE),
            col(Arrival.is_open).is_(False),
        )
        rows = session.exec(query).all()
    return {os.fsdecode(r.path_bytes): Fate(r.standing, r.order_number) for r in rows}


def booked_document(shop: Shop, number: str) -> str | None:
    """The hash of the order document that is in the books under this number; None when there is none."""
    with shop.store.reading() as session:
        return session.exec(select(Order.document_sha256).where(Order.number == number)).first()


def artwork_of_order(shop: Shop, number: str) -> Sequence[EarlierArtwork] | None:
    """The artworks of an order in the books; None when there is no such order."""
    with shop.store.reading() as session:
        order = session.exec(select(Order).where(Order.number == number)).first()
        if order is None:
            return None
        items = session.exec(select(Item).where(Item.order_id == order.id).order_by(col(Item.number))).all()
        return [EarlierArtwork(i.artwork, i.artwork_sha256, number, i.standing) for i in items]


def recent_artwork(shop: Shop, folder: str, name_folded: str, since: datetime) -> list[EarlierArtwork]:
    """Every content that came under this name in this folder lately, newest first, each once.

    Conflicting ones too: what the customer means by the name is then a question, not a guess. Not those that
    a corrected artwork has replaced.
    """
    with shop.store.reading() as session:
        query = (
            select(Arrival)
            .where(
                Arrival.folder == folder,
                Arrival.name_folded == name_folded,
                col(Arrival.standing).in_((TAKEN, DUPLICATE, CONFLICT)),
                Arrival.changed_at >= since,
                Arrival.sha256 != "",
            )
            .order_by(col(Arrival.id).desc())
        )
        rows = session.exec(query).all()
        replaced = _replaced(session, {row.sha256 for row in rows})
    found: dict[str, EarlierArtwork] = {}
    for row in rows:
        if row.sha256 in replaced:
            continue
        name = row.path.rpartition("/")[2]
        found.setdefault(row.sha256, EarlierArtwork(name, row.sha256, row.order_number, row.standing))
    return list(found.values())


def _replaced(session: Session, hashes: set[str]) -> set[str]:
    """Those of these artworks that were corrected in every item that had them."""
    asked = select(Revision.artwork_sha256, Item.artwork_sha256).where(
        Revision.item_id == Item.id, col(Revision.artwork_sha256).in_(hashes)
    )
    had, has = set(), set()
    for once, now in session.exec(asked):
        had.add(once)
        has.add(now)
    return had - has


def items_named(shop: Shop, folder: str, name: str) -> list[EarlierArtwork]:
    """The items whose order came from this folder and named an artwork so, newest first."""
    written = {name, unicodedata.normalize("NFC", name), unicodedata.normalize("NFD", name)}
    with shop.store.reading() as session:
        query = (
            select(Item, Order)
            .where(
                Item.order_id == Order.id,
                Order.source_folder == folder,
                or_(col(Item.artwork).in_(written), func.lower(Item.artwork) == name.lower()),
            )
            .order_by(col(Item.id).desc())
        )
        rows = session.exec(query).all()
    return [
        EarlierArtwork(i.artwork, i.artwork_sha256, o.number, i.standing, o.closed_at is not None)
        for i, o in rows
        if folded(i.artwork) == folded(name)
    ]
