"""Labels of parcels: rendered when a parcel is noted or changed, and again on demand."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

from config.settings import Settings
from intake.durable import write_whole
from intake.naming import safe_name
from intake.shop import Shop
from tickets.languages import as_the_house_speaks
from tickets.lookup.packing import ParcelAnswer
from tickets.paper.parcel import ParcelPaper, render_parcel


def write_label(shop: Shop, parcel: ParcelAnswer) -> Path:
    """Print a parcel's label into `papers/<order>/parcel-<n>.pdf`. Raises OSError."""
    path = shop.papers / safe_name(parcel.order) / f"parcel-{parcel.number}.pdf"
    write_whole(path, label_of(shop, parcel))
    return path


@as_the_house_speaks()
def label_of(shop: Shop, parcel: ParcelAnswer) -> bytes:
    """A parcel's label as PDF. Raises SetupProblem `qr-too-long`."""
    from tickets.paper.fonts import load_fonts

    settings = shop.settings
    fonts = load_fonts(settings.papers.font_files)
    return render_parcel(parcel_paper(parcel, settings), settings.packing.label_mm, fonts)


def parcel_paper(parcel: ParcelAnswer, settings: Settings) -> ParcelPaper:
    """What stands on a parcel's label."""
    own = settings.shop
    url = own.ticket_url.rstrip("/")
    return ParcelPaper(
        number=parcel.number,
        order=parcel.order,
        customer=parcel.customer,
        qr_text=f"{url}/orders/{quote(parcel.order)}" if url else parcel.code,
        shop=own.name,
        contact=tuple(part for part in (own.email, own.phone) if part),
        purchase_order=parcel.purchase_order,
        ship_to=parcel.ship_to,
        weight_kg=parcel.weight_kg,
        consignment=parcel.consignment,
        sscc=parcel.sscc,
    )
