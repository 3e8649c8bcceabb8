"""From an order document and its artworks' hashes to what the ledger books, and the order's own questions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any, NamedTuple

from config.settings import Settings
from intake.facts import Finding, Level
from intake.order import ItemDocument, OrderDocument
from intake.order.fields import expand_pages
from tickets.languages import retold
from tickets.requests import ItemDraft, OrderDraft


class Wanted(NamedTuple):
    """An artwork that an item names: its file name, and the earlier order that holds it ("" for its own)."""

    name: str
    of_order: str = ""


def wanted_artwork(document: OrderDocument) -> list[Wanted]:
    """The artworks that an order needs, each once, in the order of its items."""
    return list(dict.fromkeys(_wanted(item) for item in document.items))


def draft_of(
    document: OrderDocument,
    artwork: Mapping[Wanted, str],
    settings: Settings,
    source_folder: str,
    now: datetime,
) -> OrderDraft:
    """The order as the ledger takes it: `artwork` gives each original's SHA-256, `pages` become items."""
    items = [
        _draft_item(document, item, page, artwork.get(_wanted(item), ""), settings, queries)
        for item, queries in zip(document.items, order_queries(document, settings, now), strict=True)
        for page in (expand_pages(item.pages) or (None,))
    ]
    due_at = document.due_at(settings)
    return OrderDraft(
        number=document.order,
        customer_name=document.customer.name,
        customer_email=document.customer.email,
        customer_phone=document.customer.phone,
        purchase_order=document.purchase_order,
        due=document.due,
        due_at=due_at.astimezone(UTC) if due_at else None,
        service=document.service,
        allow_part_dispatch=document.allow_part_dispatch,
        rush=document.rush,
        source_folder=source_folder,
        document=document.canonical(),
        document_sha256=document.sha256(),
        items=tuple(items),
    )


def _wanted(item: ItemDocument) -> Wanted:
    return Wanted(item.artwork, item.artwork_of or "")


def _draft_item(
    document: OrderDocument,
    item: ItemDocument,
    page: int | None,
    sha256: str,
    settings: Settings,
    queries: tuple[Finding, ...],
) -> ItemDraft:
    return ItemDraft(
        artwork=item.artwork,
        artwork_sha256=sha256,
        page=page,
        width_mm=item.width_mm,
        height_mm=item.height_mm,
        quantity=item.quantity,
        service=item.service or document.service,
        placement=item.placement,
        garment=item.garment.description,
        garment_colour=item.garment.colour.lower(),
        fabric=item.garment.fabric,
        sizes=dict(item.garment.sizes),
        garment_set=item.garment_set,
        film=film_of(item, settings) or item.film,
        note=item.note,
        mirrored=item.mirrored,
        may_turn=item.may_turn,
        order_queries=tuple(_plain(finding) for finding in queries),
    )


def film_of(item: ItemDocument, settings: Settings) -> str | None:
    """The film as the shop spells it; None when it has none of that name."""
    if not item.film:
        return settings.film.default_kind
    return next(
        (kind for kind in settings.film.kinds if kind.casefold() == item.film.strip().casefold()), None
    )


def _plain(finding: Finding) -> dict[str, Any]:
    return finding.as_json()


def order_queries(document: OrderDocument, settings: Settings, now: datetime) -> list[tuple[Finding, ...]]:
    """For each item, the questions that the order itself raises.

    Two sizes that disagree with the artwork's shape are a question about the artwork, and judged with it.
    """
    return [
        tuple(
            replace(asked, says=retold(asked.says), do=retold(asked.do))
            for asked in (*_item_queries(document, at, settings), *_due_query(document, settings, now))
        )
        for at in range(len(document.items))
    ]


def _item_queries(document: OrderDocument, at: int, settings: Settings) -> Iterator[Finding]:
    item = document.items[at]
    sizes = sum(item.garment.sizes.values())
    if item.garment.sizes and sizes != item.quantity:
        yield Finding(
            "order-sizes",
            Level.QUERY,
            f"The sizes of item {at + 1} add up to {sizes:,}, but {item.quantity:,} pieces are ordered.",
            "Tell us which of the two is right.",
            measured=sizes,
            limit=item.quantity,
            unit="pieces",
        )
    if item.film and film_of(item, settings) is None:
        yield Finding(
            "order-film",
            Level.QUERY,
            f"Item {at + 1} asks for the film “{item.film}”, which we do not have.",
            f"Choose one of {', '.join(settings.film.kinds)}.",
        )
    twin = next((n for n in range(at) if _looks_like(document, n) == _looks_like(document, at)), None)
    if twin is not None:
        yield Finding(
            "order-twice",
            Level.QUERY,
            f"Item {at + 1} is the same as item {twin + 1}: artwork, size, placement, service and garment.",
            "Tell us whether both are meant, or one was written twice.",
        )


def _looks_like(document: OrderDocument, at: int) -> tuple[object, ...]:
    item = document.items[at]
    size = (item.width_mm, item.height_mm, item.pages, item.mirrored)
    return (_wanted(item), size, item.placement, item.service or document.service, item.garment)


def _due_query(document: OrderDocument, settings: Settings, now: datetime) -> Iterator[Finding]:
    due = document.due_at(settings)
    if due is not None and due < now:
        yield Finding(
            "order-due",
            Level.QUERY,
            f"The order was due on {document.due}, which had passed when it came in.",
            "Tell us by when you need it.",
        )
