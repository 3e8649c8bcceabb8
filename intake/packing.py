"""Packing slips that are due: rendered outside of any transaction, written whole, and only then noted."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from config.settings import Settings
from intake.durable import write_whole
from intake.faults import reach
from intake.naming import in_log, safe_name
from intake.shop import Shop
from tickets.languages import as_the_house_speaks
from tickets.lookup.packing import SlipAnswer, due_slips, order_slips
from tickets.wording_dispatch import no_such_slip, nothing_packed_yet

if TYPE_CHECKING:
    from tickets.paper.slip import SlipPaper

_log = logging.getLogger(__name__)


def write_due_slips(shop: Shop) -> list[Path]:
    """Print every packing slip that is due into `papers/<order>/packing-<n>.pdf`; returns what was written.

    May be done twice, and by two programs at once: the same slip gives the same bytes. One that cannot be
    rendered is told in the log, stays due, and keeps no other one waiting.
    """
    written = []
    for slip in due_slips(shop.store):
        try:
            written.append(write_slip(shop, slip))
        except Exception:
            _log.exception("event=slip-failed order=%s slip=%d", in_log(slip.order), slip.number)
    return written


def slip_path(shop: Shop, slip: SlipAnswer) -> Path:
    """Where a packing slip lies."""
    return shop.papers / safe_name(slip.order) / f"packing-{slip.number}.pdf"


@as_the_house_speaks()
def write_slip(shop: Shop, slip: SlipAnswer) -> Path:
    """Print one packing slip, the first time or again, and note that it is printed. Raises OSError."""
    from tickets.paper.fonts import load_fonts
    from tickets.paper.slip import render_slip

    settings = shop.settings
    fonts = load_fonts(settings.papers.font_files)
    content = render_slip(slip_paper(slip, settings), settings.packing.slip_form, fonts)
    path = slip_path(shop, slip)
    write_whole(path, content)
    reach("slip-written")
    shop.ledger.note_slip(slip.dispatch_id, slip.revision)
    _log.info("event=slip-written order=%s slip=%d", in_log(slip.order), slip.number)
    return path


def slips_asked(shop: Shop, order: str, number: int | None) -> list[SlipAnswer]:
    """The packing slips of an order, or the one of this number.

    Raises NotFound `order-not-known`, `nothing-packed-yet`.
    """
    slips = order_slips(shop.store, order)
    if not slips:
        raise nothing_packed_yet(order)
    if number is None:
        return slips
    found = [slip for slip in slips if slip.number == number]
    if not found:
        raise no_such_slip(order, number, len(slips))
    return found


def slip_paper(slip: SlipAnswer, settings: Settings) -> SlipPaper:
    """What stands on a packing slip."""
    from tickets.paper.slip import SlipPaper, SlipParcel

    own = settings.shop
    parcels = (SlipParcel(p.number, p.weight_kg, p.consignment, p.sscc) for p in slip.parcels)
    return SlipPaper(
        number=slip.number,
        order=slip.order,
        customer=slip.customer,
        packed=slip.packed,
        at=slip.at.astimezone(own.zone),
        qr_text=order_link(slip.order, settings),
        shop=own.name,
        contact=tuple(part for part in (own.email, own.phone) if part),
        purchase_order=slip.purchase_order,
        ship_to=slip.ship_to,
        collected_by=slip.collected_by,
        is_void=slip.voided_at is not None,
        parcels=tuple(parcels),
    )


def order_link(order: str, settings: Settings) -> str:
    """What a QR code says that leads to an order: its page, or its number where the pages have no address."""
    url = settings.shop.ticket_url.rstrip("/")
    return f"{url}/orders/{quote(order)}" if url else order
