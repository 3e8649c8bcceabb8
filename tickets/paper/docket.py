"""The A5 form of the job ticket."""

from __future__ import annotations

import math

from tickets import wording
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD, PLAIN, Fonts
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
from tickets.paper.tables import (
    MOST_STATION_ROWS,
    STATIONS_A_ROW,
    draw_sizes,
    draw_stations,
    draw_ticks,
    rows_of_sizes,
)
from tickets.paper.ticket import TicketPaper

WIDTH, HEIGHT = 148.0, 210.0  # ISO 216 A5
LEFT, TOP = 8.0, 7.0
ACROSS = WIDTH - 2 * LEFT
QR_SIDE = 41.0
ART_WIDTH = 56.0
DOTS_AN_INCH = 300


def draw_docket(ticket: TicketPaper, fonts: Fonts) -> bytes:
    """The whole docket; what is missing leaves its room to the art."""
    title = f"{wording.JOB_TICKET} {ticket.code}"
    sheet = Sheet(WIDTH, HEIGHT, fonts, title=title, author=ticket.shop)
    _draw_head(sheet, ticket)
    _draw_names(sheet, ticket)
    _draw_numbers(sheet, ticket, 59.0)
    cautions_top = HEIGHT - TOP - 11.5
    stations_height = _height_of_stations(len(ticket.stations))
    stations_top = cautions_top - 2.5 - stations_height
    remarks = remarks_of(ticket)
    remarks_height = 14.0 if sum(map(len, remarks)) > 120 else 8.5 if remarks else 0.0
    press_top = stations_top - remarks_height - 18.5
    sizes_top = press_top - _height_of_sizes_below(ticket)
    _draw_art_and_garment(sheet, ticket, Box(LEFT, 76.0, ACROSS, sizes_top - 77.5))
    if ticket.sizes and not _has_sizes_beside(ticket):
        draw_sizes(sheet, Box(LEFT, sizes_top, ACROSS, press_top - sizes_top - 1.0), ticket.sizes)
    _draw_press(sheet, ticket, Box(LEFT, press_top, ACROSS, 16.0))
    if remarks:
        _draw_remarks(sheet, Box(LEFT, press_top + 17.5, ACROSS, remarks_height), remarks)
    draw = draw_stations if len(ticket.stations) <= MOST_STATION_ROWS else draw_ticks
    if ticket.stations:
        draw(sheet, Box(LEFT, stations_top, ACROSS, stations_height), ticket.stations)
    _draw_cautions(sheet, Box(LEFT, cautions_top, ACROSS, 11.5))
    # Last, on a white ground of its own: whatever strays, nothing lies over the code.
    draw_qr(sheet, Box(LEFT, 15.5, QR_SIDE, QR_SIDE), ticket.scanned, DOTS_AN_INCH)
    return sheet.finish()


def _draw_head(sheet: Sheet, ticket: TicketPaper) -> None:
    name = Box(LEFT, TOP - 1.2, ACROSS * 0.6, 4.6)
    sheet.write_in(name, ticket.shop, Setting(9.5, 5, BOLD, 1), valign="bottom")
    said = f"{wording.JOB_TICKET}  ·  {wording.item_of(ticket.item, ticket.items)}"
    width = sheet.width_of(said, 8, NARROW)
    sheet.write(LEFT + ACROSS - width, TOP + 2.6, said, 8, NARROW)
    sheet.rule(LEFT, TOP + 5.4, LEFT + ACROSS, TOP + 5.4, 1.1, INK)


def _draw_names(sheet: Sheet, ticket: TicketPaper) -> None:
    """Beside the QR code: the code itself, flags, order and customer."""
    x = LEFT + QR_SIDE + 2.0
    width = LEFT + ACROSS - x
    draw_code(sheet, Box(x, 15.4, width - 1, 16.0), ticket.code)
    has_flags = draw_flags(sheet, Box(x, 34.6, width, 5.4), ticket)
    top = 42.0 if has_flags else 37.0
    order_width = width * 0.42
    order = ticket.order if not ticket.purchase_order else f"{ticket.order}\n{ticket.purchase_order}"
    draw_field(sheet, Box(x, top, order_width - 2, 57.2 - top), Field(wording.ORDER, order, size=15, least=5))
    sheet.rule(x + order_width, top + 0.5, x + order_width, 56.5, 0.15, FAINT)
    customer = Box(x + order_width + 2, top, width - order_width - 2, 57.2 - top)
    draw_field(sheet, customer, Field(wording.CUSTOMER, ticket.customer, size=15, least=5))


def _draw_numbers(sheet: Sheet, ticket: TicketPaper, top: float) -> None:
    """Due, pieces, print size: what the floor asks first."""
    sheet.rule(LEFT, top, LEFT + ACROSS, top, 0.5, INK)
    size = wording.size_mm(*ticket.print_mm) if ticket.print_mm else "—"
    fields = (
        (56.0, Field(wording.DUE, wording.day(ticket.due), size=17)),
        (32.0, Field(wording.PIECES, f"{ticket.quantity:,}".replace(",", "\u2009"), size=26, least=9)),
        (44.0, Field(wording.PRINT_SIZE, size, size=15)),
    )
    draw_fields(sheet, Box(LEFT, top + 0.6, ACROSS, 14.4), fields, valign="middle")
    sheet.rule(LEFT, top + 15.4, LEFT + ACROSS, top + 15.4, 0.5, INK)


def _draw_art_and_garment(sheet: Sheet, ticket: TicketPaper, box: Box) -> None:
    draw_art(sheet, Box(box.x, box.y + 0.8, ART_WIDTH - 2, min(62.0, box.height - 1.2)), ticket)
    x, width = box.x + ART_WIDTH + 2.0, box.width - ART_WIDTH - 2.0
    name = ticket.artwork if ticket.page is None else f"{ticket.artwork}, page {ticket.page}"
    sizes_height = 13.0 if ticket.sizes and _has_sizes_beside(ticket) else 0.0
    heights = _shared(box.height - sizes_height, (11.0, 17.0, 14.0))
    y = box.y
    draw_field(sheet, Box(x, y, width, heights[0]), Field(wording.ARTWORK, name, size=10.5, least=5))
    y += heights[0]
    sheet.rule(x, y, x + width, y, 0.15, FAINT)
    draw_garment(sheet, Box(x, y + 1, width, heights[1] - 1), ticket)
    y += heights[1]
    sheet.rule(x, y, x + width, y, 0.15, FAINT)
    fields = (
        (width * 0.56, Field(wording.PLACEMENT, ticket.placement, size=14)),
        (width * 0.44, Field(wording.FILM, ticket.film, size=13)),
    )
    draw_fields(sheet, Box(x, y, width, heights[2]), fields)
    if sizes_height:
        y += heights[2]
        sheet.rule(x, y, x + width, y, 0.15, FAINT)
        draw_sizes(sheet, Box(x, y + 1, width, sizes_height - 1), ticket.sizes)


def _height_of_stations(count: int) -> float:
    if count > MOST_STATION_ROWS:
        return min(44.0, 3.0 + 6.0 * math.ceil(count / STATIONS_A_ROW))
    row = 6.8 if count <= 5 else max(4.0, 35.0 / count)
    return 3.0 + row * count


def _has_sizes_beside(ticket: TicketPaper) -> bool:
    """A few sizes stand beside the art; many, or any on a ticket with many stations, below it."""
    return rows_of_sizes(len(ticket.sizes), ACROSS - ART_WIDTH - 2) == 1 and len(ticket.stations) <= 6


def _height_of_sizes_below(ticket: TicketPaper) -> float:
    if not ticket.sizes or _has_sizes_beside(ticket):
        return 0.0
    return 4.5 + 9.0 * rows_of_sizes(len(ticket.sizes), ACROSS)


def _shared(height: float, wished: tuple[float, ...]) -> tuple[float, ...]:
    """The height divided as wished, more or less of it for each alike, but never much too tall."""
    scale = min(1.35, height / sum(wished))
    return tuple(part * scale for part in wished)


def _draw_press(sheet: Sheet, ticket: TicketPaper, box: Box) -> None:
    """The press setting, in a frame that says whose it is."""
    sheet.outline(box, 0.3, INK)
    inner = Box(box.x + 2, box.y + 1, box.width - 4, box.height - 1.5)
    width = draw_caption(sheet, inner.x, inner.y, wording.PRESS, INK)
    press = ticket.press
    if press is None:
        says = wording.CUSTOMER_PRESSES if ticket.service == "transfers" else wording.NO_PRESS_SETTING
        rest = Box(inner.x, inner.y + 3.2, inner.width, inner.height - 3.6)
        sheet.write_in(rest, says, Setting(9.5, 6, PLAIN), valign="middle")
        return
    sheet.write(
        inner.x + width + 1.5,
        inner.y + 1.9,
        wording.whose_press_setting(press.film, press.fabric),
        5.6,
        NARROW,
        GREY,
    )
    second = wording.seconds(press.second_press_seconds) if press.second_press_seconds else "—"
    fields = (
        (20.0, Field(wording.HEAT, wording.celsius(press.temperature_c), size=13)),
        (16.0, Field(wording.TIME, wording.seconds(press.seconds), size=13)),
        (24.0, Field(wording.PRESSURE, press.pressure, size=11)),
        (42.0, Field(wording.PEEL, press.peel, size=11)),
        (26.0, Field(wording.SECOND_PRESS, second, size=11)),
    )
    note_height = 3.2 if press.note else 0.0
    draw_fields(sheet, Box(inner.x, inner.y + 2.6, inner.width, inner.height - 3.0 - note_height), fields)
    if press.note:
        note = Box(inner.x, inner.y + inner.height - note_height + 0.1, inner.width, note_height - 0.2)
        sheet.write_in(note, press.note, Setting(7, 5, PLAIN, 1), valign="middle")


def remarks_of(ticket: TicketPaper) -> list[str]:
    """What the floor must know besides: the note, the customer's answer, how the film lies."""
    said = [ticket.note] if ticket.note else []
    if ticket.answer:
        said.append(wording.answered(ticket.answer))
    if ticket.mirrored:
        said.append(wording.MIRRORED)
    if not ticket.may_turn:
        said.append(wording.MAY_NOT_TURN)
    return said


def _draw_remarks(sheet: Sheet, box: Box, remarks: list[str]) -> None:
    draw_caption(sheet, box.x, box.y + 0.4, wording.NOTE)
    text = Box(box.x + 8.5, box.y + 0.2, box.width - 8.5, box.height - 1.0)
    sheet.write_in(text, "\n".join(remarks), Setting(9.5, 5, BOLD))


def _draw_cautions(sheet: Sheet, box: Box) -> None:
    sheet.rule(box.x, box.y, box.x + box.width, box.y, 0.5, INK)
    half = box.width / 2
    for number, caution in enumerate(wording.CAUTIONS):
        x = box.x + number % 2 * half
        sheet.write(x, box.y + 3.3 + number // 2 * 2.7, caution, 6.4, NARROW_BOLD)
    sheet.write_in(
        Box(box.x, box.y + 6.9, box.width, 2.2), wording.CAUTIONS_DEFER, Setting(5.8, 4, NARROW, 1), GREY
    )
    said = last_lines(sheet)
    if said:
        sheet.write_in(Box(box.x, box.y + 9.3, box.width, 2.4), said, Setting(6, 4, NARROW_BOLD, 1))
