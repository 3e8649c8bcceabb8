"""Job tickets that are due: rendered outside of any transaction, written whole, and only then noted."""

from __future__ import annotations

import logging
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlmodel import col, func, select

from config.settings import PressSetting, Settings
from intake.durable import write_whole
from intake.faults import reach
from intake.naming import in_log, safe_name
from intake.packing import write_due_slips
from intake.pictures import picture_of
from intake.shop import Shop
from tickets.languages import as_the_house_speaks
from tickets.lookup import DueItem, DueOrder, PaperDue, due_papers
from tickets.models import Item
from tickets.wording_pages import station_label

if TYPE_CHECKING:
    from tickets.paper.ticket import TicketPaper

_log = logging.getLogger(__name__)


def write_due_papers(shop: Shop) -> list[Path]:
    """Print every ticket that is due into `papers/<order>/<code>.pdf`, and packing slips beside them.

    Returns what was written. May be done twice, and by two programs at once: the same ticket gives the same
    bytes. A ticket that cannot be rendered is told in the log, stays due, and keeps no other one waiting.
    """
    written = []
    for due in due_papers(shop.store):
        try:
            written.append(write_paper(shop, due))
        except Exception:
            _log.exception("event=paper-failed order=%s ticket=%s", in_log(due.order.number), due.code)
    return [*written, *write_due_slips(shop)]


def paper_path(shop: Shop, due: PaperDue) -> Path:
    """Where the paper of a ticket lies."""
    return shop.papers / safe_name(due.order.number) / f"{due.code}.pdf"


@as_the_house_speaks()
def write_paper(shop: Shop, due: PaperDue) -> Path:
    """Print one ticket, the first time or again, and note that it is printed. Raises OSError."""
    from tickets.paper.fonts import load_fonts
    from tickets.paper.ticket import render_ticket

    papers = shop.settings.papers
    content = render_ticket(ticket_paper(shop, due), papers.ticket_form, load_fonts(papers.font_files))
    path = paper_path(shop, due)
    reach("paper-rendered")
    write_whole(path, content)
    reach("paper-written")
    shop.ledger.note_papered(due.code, due.revision, to_print=bool(papers.print_command))
    _log.info("event=paper-written order=%s ticket=%s", in_log(due.order.number), due.code)
    return path


def ticket_paper(shop: Shop, due: PaperDue) -> TicketPaper:
    """What stands on the paper of a ticket."""
    from tickets.paper.ticket import StationTick, TicketPaper

    settings, order, item = shop.settings, due.order, due.item
    size = (item.print_width_mm, item.print_height_mm)
    return TicketPaper(
        code=due.code,
        order=order.number,
        customer=order.customer_name,
        quantity=due.quantity,
        shop=settings.shop.name,
        item=item.number,
        items=_items_of(shop, order),
        due=due_of(order, settings),
        purchase_order=order.purchase_order,
        rush=order.rush or due.rush,
        reprint_of=due.reprint_of or "",
        service=item.service,
        artwork=item.artwork,
        page=item.page,
        picture_png=picture_of(shop, item.artwork_sha256, item.page),
        print_mm=(size[0], size[1]) if size[0] and size[1] else None,
        mirrored=item.mirrored,
        may_turn=item.may_turn,
        placement=item.placement,
        garment=item.garment,
        garment_colour=item.garment_colour,
        fabric=item.fabric,
        garment_set=item.garment_set,
        sizes=() if due.reprint_of else tuple(item.sizes.items()),  # which sizes were lost is not known
        film=item.film,
        press=press_setting(settings, item) if item.service == "pressed" else None,
        stations=tuple(
            StationTick(station_label(s.name, s.label), item.service in s.skip_for) for s in settings.station
        ),
        note=item.note,
        answer=": ".join(part for part in (item.released_by, item.released_note) if part),
        qr_text=f"{settings.shop.ticket_url.rstrip('/')}/t/{due.code}" if settings.shop.ticket_url else "",
    )


def due_of(order: DueOrder, settings: Settings) -> datetime | date | None:
    """When an order is due, in the shop's own time; a plain day stays a day."""
    if not order.due:
        return None
    if "T" not in order.due.upper():
        return date.fromisoformat(order.due)
    return order.due_at.astimezone(settings.shop.zone) if order.due_at else None


def press_setting(settings: Settings, item: DueItem) -> PressSetting | None:
    """How this film is pressed on this cloth; None when the shop has not said so, or said two things.

    The cloth's name may stand in a longer one ("100 % cotton"); a blend of two that differ is left to a
    person.
    """
    fabric = item.fabric.casefold().strip()
    of_film = [p for p in settings.press if p.film.casefold() == item.film.casefold()]
    exact = [p for p in of_film if p.fabric.casefold() == fabric]
    near = exact or [p for p in of_film if fabric and p.fabric.casefold() in fabric]
    return near[0] if len(near) == 1 else None


def _items_of(shop: Shop, order: DueOrder) -> int:
    with shop.store.reading() as session:
        count = select(func.count(col(Item.id))).where(Item.order_id == order.order_id)
        return session.exec(count).one()
