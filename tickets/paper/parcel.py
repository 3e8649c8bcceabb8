"""The label of a parcel: where it goes, what it belongs to, and codes that lead back to it."""

from __future__ import annotations

from dataclasses import dataclass

from tickets import wording_packing as words
from tickets.paper.bars import draw_bars
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD, PLAIN, Fonts
from tickets.paper.parts import NARROW, NARROW_BOLD, Field, draw_caption, draw_fields, last_lines
from tickets.paper.qr import draw_qr
from tickets.paper.sheet import GREY, INK, Sheet
from tickets.sscc import APPLICATION_IDENTIFIER

DOTS_AN_INCH = 203  # the usual label printer
BARS_MM = 32.0  # at least 31.75 mm high (GS1 General Specifications, from memory)


@dataclass(frozen=True, slots=True)
class ParcelPaper:
    """Everything that stands on a parcel's label.

    contact: how the shop is reached. ship_to: the lines of the address; empty: the customer's name.
    qr_text: what scanners read.
    """

    number: int
    order: str
    customer: str
    qr_text: str
    shop: str = ""
    contact: tuple[str, ...] = ()
    purchase_order: str = ""
    ship_to: tuple[str, ...] = ()
    weight_kg: float | None = None
    consignment: str = ""
    sscc: str = ""


def render_parcel(parcel: ParcelPaper, size_mm: tuple[float, float], fonts: Fonts) -> bytes:
    """The label as PDF; the same parcel, size and fonts give the same bytes.

    Raises SetupProblem `qr-too-long`.
    """
    width, height = size_mm
    title = f"{words.PARCEL} {parcel.order}/{parcel.number}"
    sheet = Sheet(width, height, fonts, title=title, author=parcel.shop)
    edge = 4.0
    across = width - 2 * edge
    bars = BARS_MM + 7.0 if parcel.sscc else 0.0
    bottom = height - edge - bars
    facts = min(13.0, height * 0.11)
    qr_side = max(22.0, min(33.0, width * 0.33, height * 0.26))
    _draw_sender(sheet, Box(edge, edge, across, 8.0), parcel)
    address_top, address_bottom = edge + 9.5, bottom - qr_side - facts - 3.0
    _draw_address(sheet, Box(edge, address_top, across, address_bottom - address_top), parcel)
    sheet.rule(edge, address_bottom + 0.5, edge + across, address_bottom + 0.5, 0.6, INK)
    _draw_order(sheet, Box(edge, address_bottom + 1.5, across, qr_side), parcel, qr_side)
    _draw_facts(sheet, Box(edge, bottom - facts, across, facts), parcel)
    if parcel.sscc:
        _draw_sscc(sheet, Box(1.0, bottom + 1.5, width - 2.0, bars - 1.5), parcel.sscc)
    said = last_lines(sheet)
    if said:
        sheet.write_in(Box(edge, height - 3.2, across, 2.4), said, Setting(5, 3.6, NARROW_BOLD, 1))
    draw_qr(sheet, Box(edge, address_bottom + 1.5, qr_side, qr_side), parcel.qr_text, DOTS_AN_INCH)
    return sheet.finish()


def _draw_sender(sheet: Sheet, box: Box, parcel: ParcelPaper) -> None:
    sheet.write_in(
        Box(box.x, box.y - 1.0, box.width, 4.4), parcel.shop, Setting(9, 5, BOLD, 1), valign="bottom"
    )
    how = "  ·  ".join(parcel.contact)
    sheet.write_in(Box(box.x, box.y + 3.6, box.width, 3.0), how, Setting(7, 4.5, NARROW, 1), GREY)
    sheet.rule(box.x, box.y + 7.6, box.x + box.width, box.y + 7.6, 0.9, INK)


def _draw_address(sheet: Sheet, box: Box, parcel: ParcelPaper) -> None:
    draw_caption(sheet, box.x, box.y, words.SHIP_TO)
    said = "\n".join(parcel.ship_to) or parcel.customer
    sheet.write_in(Box(box.x, box.y + 3.2, box.width, box.height - 3.6), said, Setting(16, 5, BOLD))


def _draw_order(sheet: Sheet, box: Box, parcel: ParcelPaper, qr_side: float) -> None:
    """Beside the code: which parcel of which order."""
    x = box.x + qr_side + 2.0
    width = box.x + box.width - x
    name = f"{words.PARCEL} {parcel.number}"
    sheet.write_in(Box(x, box.y, width, box.height * 0.3), name, Setting(17, 7, BOLD, 1), valign="middle")
    draw_caption(sheet, x, box.y + box.height * 0.34, words.ORDER)
    lines = Box(x, box.y + box.height * 0.34 + 2.8, width, box.height * 0.66 - 3.0)
    order = "\n".join(part for part in (parcel.order, parcel.purchase_order) if part)
    sheet.write_in(lines, order, Setting(13, 5, BOLD))


def _draw_facts(sheet: Sheet, box: Box, parcel: ParcelPaper) -> None:
    """Weight and consignment."""
    sheet.rule(box.x, box.y, box.x + box.width, box.y, 0.3, INK)
    weight = words.weight(parcel.weight_kg) if parcel.weight_kg is not None else ""
    fields = (
        (box.width * 0.3, Field(words.WEIGHT, weight, size=12, least=5)),
        (box.width * 0.7, Field(words.CONSIGNMENT, parcel.consignment, size=12, least=5)),
    )
    draw_fields(sheet, Box(box.x, box.y + 0.2, box.width, box.height - 0.4), fields, 1.5, "middle")


def _draw_sscc(sheet: Sheet, box: Box, sscc: str) -> None:
    """The bars, and under them the digits for people, the application identifier in brackets."""
    draw_bars(sheet, Box(box.x, box.y, box.width, BARS_MM), APPLICATION_IDENTIFIER + sscc)
    digits = f"({APPLICATION_IDENTIFIER}) {sscc}"
    below = Box(box.x, box.y + BARS_MM + 0.4, box.width, 4.6)
    sheet.write_in(below, digits, Setting(10, 6, PLAIN, 1), INK, "centre", "middle")
