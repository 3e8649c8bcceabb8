"""An order that is only asked about: read as intake reads orders; number, customer, artwork may be absent."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from config.settings import Settings
from intake.order import ItemDocument, OrderDocument, order_of
from intake.order.draft import film_of, order_queries
from intake.order.fields import expand_pages
from intake.order.text import read_plain
from tickets.forecast.asked import AskedItem, AskedOrder
from tickets.problems import OrderRefused

_NO_NUMBER, _NO_NAME = "NEW", "a caller"


def read_asked(data: bytes, settings: Settings, now: datetime) -> AskedOrder:
    """What is asked for. Raises OrderRefused with every error, as for an order that is dropped.

    `order`, `customer` and the names of artworks may be left out: how long work takes hangs on sizes and
    quantities alone.
    """
    plain = read_plain(data)
    try:
        document = order_of(_filled(plain), settings, now)
    except OrderRefused as refused:
        raise OrderRefused(refused.slug, refused.errors, "Mend what is named and ask again.") from None
    questions = [finding.says for findings in order_queries(document, settings, now) for finding in findings]
    return AskedOrder(
        number=document.order if "order" in plain else "",
        items=tuple(_items(document, settings)),
        rush=document.rush,
        due_at=document.due_at(settings),
        questions=tuple(dict.fromkeys(questions)),
    )


def _filled(plain: dict[str, Any]) -> dict[str, Any]:
    """The same document, with what a promise does not need put in where it is missing."""
    filled = {"order": _NO_NUMBER, "customer": {}, **plain}
    if isinstance(filled["customer"], dict):
        filled["customer"] = {"name": _NO_NAME, **filled["customer"]}
    if isinstance(filled.get("items"), list):
        filled["items"] = [_with_artwork(at, item) for at, item in enumerate(filled["items"])]
    return filled


def _with_artwork(at: int, item: Any) -> Any:
    return {"artwork": f"item-{at + 1}.png", **item} if isinstance(item, dict) else item


def _items(document: OrderDocument, settings: Settings) -> list[AskedItem]:
    every = [(item, _asked(document, item, settings)) for item in document.items]
    pages = [asked for item, asked in every for _ in (expand_pages(item.pages) or (None,))]
    return [replace(asked, number=at + 1) for at, asked in enumerate(pages)]


def _asked(document: OrderDocument, item: ItemDocument, settings: Settings) -> AskedItem:
    return AskedItem(
        number=1,
        quantity=item.quantity,
        service=item.service or document.service,
        film=film_of(item, settings) or item.film,
        width_mm=item.width_mm,
        height_mm=item.height_mm,
        artwork=item.artwork,
        artwork_of=item.artwork_of or "",
    )
