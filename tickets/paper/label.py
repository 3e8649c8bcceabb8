"""The label form of the job ticket: 100 × 150 mm, as desktop label printers take it."""

from __future__ import annotations

from tickets import wording
from tickets.paper.docket import remarks_of
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD, Fonts
from tickets.paper.parts import (
    NARROW,
    NARROW_BOLD,
    Field,
    draw_art,
    draw_caption,
    draw_code,
    draw_field,
    draw_fields,
    draw_flags,
    draw_garment,
    last_lines,
)
from tickets.paper.qr import draw_qr
from tickets.paper.sheet import FAINT, GREY, INK, Sheet
from tickets.paper.tables import draw_sizes, draw_ticks, rows_of_sizes
from tickets.paper.ticket import TicketPaper

WIDTH, HEIGHT = 100.0, 150.0
LEFT, TOP = 4.0, 3.5
ACROSS = WIDTH - 2 * LEFT
QR_SIDE = 33.0
DOTS_AN_INCH = 203  # the usual label printer


def draw_label(ticket: TicketPaper, fonts: Fonts) -> bytes:
    """The whole label; what is missing leaves its room to the art."""
    title = f"{wording.JOB_TICKET} {ticket.code}"
    sheet = Sheet(WIDTH, HEIGHT, fonts, title=title, author=ticket.shop)
    _draw_head(sheet, ticket)
    _draw_names(sheet, ticket)
    _draw_numbers(sheet, ticket, 43.5)
    cautions_top = HEIGHT - TOP - 9.4
    stations_top = cautions_top - 10.0
    remarks = remarks_of(ticket)
    remarks_height = 8.5 if remarks else 0.0
    press_top = stations_top - remarks_height - 9.0
    sizes_height = 4.0 + 8.0 * rows_of_sizes(len(ticket.sizes), ACROSS) if ticket.sizes else 0.0
    sizes_top = press_top - sizes_height
    _draw_art_and_garment(sheet, ticket, Box(LEFT, 57.0, ACROSS, sizes_top - 57.5))
    if ticket.sizes:
        draw_sizes(sheet, Box(LEFT, sizes_top, ACROSS, sizes_height - 1.2), ticket.sizes)
    _draw_press(sheet, ticket, Box(LEFT, press_top, ACROSS, 8.6))
    if remarks:
        text = Box(LEFT, press_top + 9.4, ACROSS, remarks_height - 1.0)
        sheet.write_in(text, "  ·  ".join(remarks), Setting(8, 4.5, BOLD))
    if ticket.stations:
        draw_ticks(sheet, Box(LEFT, stations_top, ACROSS, 9.5), ticket.stations)
    _draw_cautions(sheet, Box(LEFT, cautions_top, ACROSS, 9.4))
    draw_qr(sheet, Box(LEFT, 9.0, QR_SIDE, QR_SIDE), ticket.scanned, DOTS_AN_INCH)
    return sheet.finish()


def _draw_head(sheet: Sheet, ticket: TicketPaper) -> None:
    name = Box(LEFT, TOP - 0.8, ACROSS * 0.6, 3.8)
    sheet.write_in(name, ticket.shop, Setting(8, 4.5, BOLD, 1), valign="bottom")
    said = wording.item_of(ticket.item, ticket.items)
    width = sheet.width_of(said, 7, NARROW)
    sheet.write(LEFT + ACROSS - width, TOP + 2.3, said, 7, NARROW)
    sheet.rule(LEFT, TOP + 4.3, LEFT + ACROSS, TOP + 4.3, 0.8, INK)


def _draw_names(sheet: Sheet, ticket: TicketPaper) -> None:
    x = LEFT + QR_SIDE + 1.0
    width = LEFT + ACROSS - x
    draw_code(sheet, Box(x, 9.4, width - 0.8, 10.5), ticket.code)
    has_flags = draw_flags(sheet, Box(x, 20.8, width, 4.2), ticket)
    top = 26.0 if has_flags else 21.5
    middle = top + (42.6 - top) * 0.42
    order = ticket.order if not ticket.purchase_order else f"{ticket.order} · {ticket.purchase_order}"
    draw_field(sheet, Box(x, top, width, middle - top), Field(wording.ORDER, order, size=11, least=4.5))
    customer = Box(x, middle, width, 42.6 - middle)
    draw_field(sheet, customer, Field(wording.CUSTOMER, ticket.customer, size=11, least=4.5))


def _draw_numbers(sheet: Sheet, ticket: TicketPaper, top: float) -> None:
    sheet.rule(LEFT, top, LEFT + ACROSS, top, 0.4, INK)
    size = wording.size_mm(*ticket.print_mm) if ticket.print_mm else "—"
    fields = (
        (40.0, Field(wording.DUE, wording.day(ticket.due), size=13)),
        (21.0, Field(wording.PIECES, f"{ticket.quantity:,}".replace(",", "\u2009"), size=19, least=7)),
        (31.0, Field(wording.PRINT_SIZE, size, size=11)),
    )
    draw_fields(sheet, Box(LEFT, top + 0.3, ACROSS, 12.0), fields, inset=1.5, valign="middle")
    sheet.rule(LEFT, top + 12.6, LEFT + ACROSS, top + 12.6, 0.4, INK)


def _draw_art_and_garment(sheet: Sheet, ticket: TicketPaper, box: Box) -> None:
    art_width = 44.0
    draw_art(sheet, Box(box.x, box.y, art_width - 1, box.height - 0.6), ticket)
    x, width = box.x + art_width + 1.5, box.width - art_width - 1.5
    third = box.height / 3
    draw_garment(sheet, Box(x, box.y, width, third), ticket)
    sheet.rule(x, box.y + third, x + width, box.y + third, 0.15, FAINT)
    placement = Field(wording.PLACEMENT, ticket.placement, size=11, least=4.5)
    draw_field(sheet, Box(x, box.y + third + 0.8, width, third - 1), placement)
    sheet.rule(x, box.y + 2 * third, x + width, box.y + 2 * third, 0.15, FAINT)
    name = ticket.artwork if ticket.page is None else f"{ticket.artwork}, page {ticket.page}"
    fields = (
        (width * 0.42, Field(wording.FILM, ticket.film, size=9, least=4.5)),
        (width * 0.58, Field(wording.ARTWORK, name, size=8, least=4.5)),
    )
    draw_fields(sheet, Box(x, box.y + 2 * third, width, third), fields, inset=1.2)


def _draw_press(sheet: Sheet, ticket: TicketPaper, box: Box) -> None:
    sheet.outline(box, 0.25, INK)
    inner = Box(box.x + 1.5, box.y + 0.6, box.width - 3, box.height - 1)
    width = draw_caption(sheet, inner.x, inner.y, wording.PRESS, INK)
    own = Box(inner.x + width + 1.2, inner.y, inner.width - width - 1.2, 2.4)
    if ticket.press is not None:
        sheet.write_in(
            own,
            wording.whose_press_setting(ticket.press.film, ticket.press.fabric),
            Setting(5, 4, NARROW, 1),
            GREY,
        )
        says = wording.press_line(ticket.press)
    else:
        says = wording.CUSTOMER_PRESSES if ticket.service == "transfers" else wording.NO_PRESS_SETTING
    rest = Box(inner.x, inner.y + 2.6, inner.width, inner.height - 2.8)
    sheet.write_in(rest, says, Setting(9, 4.5, BOLD), valign="middle")


def _draw_cautions(sheet: Sheet, box: Box) -> None:
    sheet.rule(box.x, box.y, box.x + box.width, box.y, 0.4, INK)
    half = box.width * 0.56
    for number, caution in enumerate(wording.CAUTIONS):
        x = box.x + number % 2 * half
        sheet.write(x, box.y + 2.6 + number // 2 * 2.2, caution, 5.2, NARROW_BOLD)
    defer = Box(box.x, box.y + 5.6, box.width, 1.9)
    sheet.write_in(defer, wording.CAUTIONS_DEFER, Setting(4.8, 3.6, NARROW, 1), GREY)
    said = last_lines(sheet)
    if said:
        sheet.write_in(Box(box.x, box.y + 7.6, box.width, 1.9), said, Setting(4.8, 3.6, NARROW_BOLD, 1))
