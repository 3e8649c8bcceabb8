"""A price for an order file before it is taken in: its artwork is measured, and nothing is booked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from config.settings_cost import Cost
from intake.order import ItemDocument, read_order
from intake.order.fields import expand_pages
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from intake.shop import Shop
from tickets.cost.costing import cost_stretch, hands_cost
from tickets.cost.inking import ink_of
from tickets.cost.quoting import Costed, QuoteAnswer, price_items
from tickets.cost.stretch import Piece, stretch_alone
from tickets.film.model import Shape
from tickets.lookup.stock import rates_in_use
from tickets.wording_cost import artwork_not_here, artwork_not_printable, order_file_not_read

_Page = tuple[ItemDocument, int | None]


def quote_order(shop: Shop, file: Path) -> QuoteAnswer:
    """Price an order file. Artwork beside it is checked; without it the shop's usual shares stand in.

    Raises OrderRefused for a document that cannot be read, BadInput `order-file-not-read`.
    """
    try:
        written = file.read_bytes()
    except OSError as error:
        raise order_file_not_read(str(file), error.strerror or str(error)) from error
    document = read_order(written, shop.settings, shop.clock())
    cost, currency = rates_in_use(shop.store, shop.settings), shop.settings.money.currency
    items, notes = [], []
    with Sandbox(shop.settings.sandbox) as sandbox:
        for number, item in enumerate(document.items, 1):
            for page in expand_pages(item.pages) or (None,):
                piece, note = _piece(shop, sandbox, file.parent, (item, page), cost)
                what = f"{number} {item.artwork}" + (f" page {page}" if page else "")
                minor = _cost_of(piece, item.quantity, item.service or document.service, cost, shop)
                items.append(Costed(what, item.quantity, minor))
                notes += [note] if note else []
    priced, made_up = price_items(items, shop.settings.quote, document.rush, currency)
    return QuoteAnswer(document.order, currency, priced, made_up, document.rush, list(dict.fromkeys(notes)))


def _cost_of(piece: Piece, count: int, service: str, cost: Cost, shop: Shop) -> int:
    """All the pieces of an item in rows, and their pressing and packing, in minor units."""
    currency = shop.settings.money.currency
    stretch = stretch_alone("", count, piece, shop.settings.film.printable_mm, cost)
    seconds = cost.pack_seconds + (cost.press_seconds if service == "pressed" else 0)
    return cost_stretch(stretch, cost, currency).total + hands_cost(count * seconds, cost, currency)


def _piece(shop: Shop, sandbox: Sandbox, folder: Path, asked: _Page, cost: Cost) -> tuple[Piece, str]:
    """One piece of an item, and what must be said about how it was reckoned."""
    item, page = asked
    width, height, note = item.width_mm, item.height_mm, ""
    measures: dict[str, Any] = {}
    artwork = folder / item.artwork
    if artwork.is_file() and not item.artwork_of:
        settings = shop.settings
        job = PreflightJob(
            artwork, item.artwork, settings.limits, settings.film, page, width, height, want_picture=False
        )
        answer = sandbox.preflight(job)
        measures = dict(answer.measures)
        if answer.print_mm is None:
            note = artwork_not_printable(item.artwork)
        else:
            width, height = answer.print_mm
    else:
        note = artwork_not_here(item.artwork)
    size = (width or height or 0.0, height or width or 0.0)
    ink = ink_of(measures, size, cost, item.garment.colour or "")
    return Piece(Shape(*size), ink, item.may_turn), note
