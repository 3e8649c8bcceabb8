"""Links by which customers see one order's progress: made once an order, found by their word, revoked."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, select

from tickets.ledger.books import EVENT_VERSION, plain_words
from tickets.lookup.answers import utc_text
from tickets.lookup.finding import order_not_known
from tickets.models import Event, Order
from tickets.models_people import CustomerLink
from tickets.store import Store

WORD_BYTES = 24  # 192 bits of chance: nobody guesses one, however many there are
LONGEST_WORD = 64
PATH = "/o/"
MADE, OFF = "link-made", "link-off"


@dataclass(frozen=True, slots=True)
class LinkAnswer:
    """The link of an order that works; `word` is what cannot be guessed in it."""

    order: str
    word: str
    made_at: datetime

    def at(self, address: str) -> str:
        """The whole address, below that of the pages."""
        return f"{address.rstrip('/')}{PATH}{self.word}"

    def as_json(self, address: str) -> dict[str, Any]:
        """Plain values for `link --json`."""
        return {"order": self.order, "link": self.at(address), "made": utc_text(self.made_at)}


class LinkBook:
    """Makes links, finds the order of one, and revokes them. Orders are named by their numbers."""

    def __init__(self, store: Store, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._clock = clock

    def make(self, number: str, by: str = "") -> LinkAnswer:
        """The order's link: the one that works already, else a new one. Raises NotFound `order-not-known`."""
        with self._store.writing() as session:
            order_id = _lock_order(session, number)
            link = _open_link(session, order_id)
            if link is None:
                word = secrets.token_urlsafe(WORD_BYTES)
                link = CustomerLink(
                    order_id=order_id, word=word, word_sha256=_hash(word), made_at=self._clock()
                )
                session.add(link)
                session.add(self._noted(MADE, order_id, by))
            return LinkAnswer(number, link.word, link.made_at)

    def revoke(self, number: str, by: str = "") -> bool:
        """End the order's link for good; False when none worked. Raises NotFound `order-not-known`."""
        with self._store.writing() as session:
            order_id = _lock_order(session, number)
            link = _open_link(session, order_id)
            if link is not None:
                link.revoked_at = self._clock()
                session.add(self._noted(OFF, order_id, by))
            return link is not None

    def _noted(self, kind: str, order_id: int, by: str) -> Event:
        """The event beside the change; the word itself stays out of it, for histories are read by many."""
        return Event(
            at=self._clock(), kind=kind, order_id=order_id, by=plain_words(by), payload={"v": EVENT_VERSION}
        )

    def of_order(self, number: str) -> LinkAnswer | None:
        """The link of an order that works; None when there is none."""
        asked = (
            select(CustomerLink)
            .join(Order, col(Order.id) == col(CustomerLink.order_id))
            .where(Order.number == number, col(CustomerLink.revoked_at).is_(None))
        )
        with self._store.reading() as session:
            link = session.exec(asked).first()
            return LinkAnswer(number, link.word, link.made_at) if link else None

    def order_of(self, word: str) -> str | None:
        """The number of the order whose link has this word; None when none has it or it was revoked."""
        if len(word) > LONGEST_WORD:
            return None
        asked = (
            select(Order.number)
            .join(CustomerLink, col(Order.id) == col(CustomerLink.order_id))
            .where(CustomerLink.word_sha256 == _hash(word), col(CustomerLink.revoked_at).is_(None))
        )
        with self._store.reading() as session:
            return session.exec(asked).first()


def _lock_order(session: Session, number: str) -> int:
    """The row of the order, which a second writer waits for."""
    order_id = session.exec(select(Order.id).where(Order.number == number).with_for_update()).first()
    if order_id is None:
        raise order_not_known(number)
    return order_id


def _open_link(session: Session, order_id: int) -> CustomerLink | None:
    asked = select(CustomerLink).where(
        CustomerLink.order_id == order_id, col(CustomerLink.revoked_at).is_(None)
    )
    return session.exec(asked).first()


def _hash(word: str) -> str:
    return hashlib.sha256(word.encode("utf-8", "surrogatepass")).hexdigest()
