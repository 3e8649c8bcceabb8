"""The sheet of a run, A4: whose pieces lie on it, how many, in what order they are cut, and a map."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tickets import wording as words
from tickets import wording_film_file as wording
from tickets.film.model import Ring, StoredRun
from tickets.film.strips import CutTicket, strips_of, tickets_of
from tickets.paper.film.run_map import MapBox, draw_map
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD, PLAIN, Fonts
from tickets.paper.parts import NARROW, NARROW_BOLD, Field, draw_caption, draw_code, draw_fields, last_lines
from tickets.paper.qr import draw_qr
from tickets.paper.sheet import FAINT, GREY, INK, Sheet

WIDTH, HEIGHT = 210.0, 297.0  # ISO 216 A4
LEFT, TOP = 14.0, 12.0
ACROSS = WIDTH - 2 * LEFT
FOOT = 11.0
QR_SIDE = 30.0
DOTS_AN_INCH = 300
_HEAD = 46.0  # from the top to what follows the head
_ROW = 6.4
_TABLE_HEAD = 5.0
_LEAST_MAP = 120.0  # high, on the first page
_COLUMNS = (  # caption, share of the width
    ("", 0.05),
    (words.TICKET, 0.14),
    (words.ORDER, 0.16),
    (words.CUSTOMER, 0.27),
    (words.PIECES, 0.15),
    (wording.STRIPS, 0.10),
    (wording.ALONG, 0.13),
)


@dataclass(frozen=True, slots=True)
class RunSheet:
    """What stands on the sheet. `customers`: their names by order number. `says`: sentences about artwork."""

    run: StoredRun
    shop: str
    qr_text: str
    film_mm: float  # that its file takes
    customers: Mapping[str, str] = field(default_factory=dict)
    says: tuple[str, ...] = ()
    outlines: Mapping[int, tuple[Ring, ...]] = field(default_factory=dict)  # of pieces as they lie


def draw_run_sheet(paper: RunSheet, fonts: Fonts) -> bytes:
    """The whole sheet: head and map first, then the tickets, on further pages where they are many."""
    sheet = Sheet(WIDTH, HEIGHT, fonts, title=f"{wording.RUN} {paper.run.code}", author=paper.shop)
    strips = strips_of(paper.run)
    tickets = list(tickets_of(paper.run, strips))
    _draw_head(sheet, paper, len(tickets))
    bottom = HEIGHT - FOOT
    wanted = _TABLE_HEAD + _ROW * len(tickets) + 4.0
    map_height = max(_LEAST_MAP, bottom - TOP - _HEAD - wanted)
    room = Box(LEFT, TOP + _HEAD, ACROSS, map_height)
    top = room.y + draw_map(sheet, room, MapBox(paper.run, strips, tuple(tickets), paper.outlines)) + 6.0
    while tickets:
        count = max(0, int((bottom - top - _TABLE_HEAD) / _ROW))
        if count:
            _draw_tickets(sheet, paper, tickets[:count], top)
        tickets = tickets[count:]
        _draw_foot(sheet, paper)
        if tickets:
            sheet.next_page()
            top = TOP
    return sheet.finish()


def _draw_head(sheet: Sheet, paper: RunSheet, tickets: int) -> None:
    run = paper.run
    shop = Box(LEFT, TOP - 3.0, ACROSS - QR_SIDE, 5.0)
    sheet.write_in(shop, paper.shop, Setting(10, 5, BOLD, 1), valign="middle")
    sheet.rule(LEFT, TOP + 3.0, LEFT + ACROSS - QR_SIDE - 4, TOP + 3.0, 0.8, INK)
    draw_caption(sheet, LEFT, TOP + 4.6, wording.RUN)
    draw_code(sheet, Box(LEFT, TOP + 7.4, 70.0, 12.0), run.code)
    beside = Box(LEFT + 74.0, TOP + 4.6, ACROSS - QR_SIDE - 78.0, 15.5)
    sheet.write_in(beside, wording.how_to_cut(run), Setting(9, 6, PLAIN), GREY, valign="middle")
    spares = sum(piece.spare for piece in run.pieces)
    fields = (
        (44.0, Field(words.FILM, run.film, size=12)),
        (30.0, Field(wording.LENGTH, wording.metres(paper.film_mm), size=12)),
        (26.0, Field(words.PIECES, wording.and_spares(len(run.pieces) - spares, spares), size=12)),
        (20.0, Field(wording.TICKETS, str(tickets), size=12)),
        (28.0, Field(wording.CUTTING, wording.minutes(run.cutting_minutes), size=12)),
    )
    draw_fields(sheet, Box(LEFT, TOP + 21.5, ACROSS - QR_SIDE - 4, 12.0), fields)
    draw_qr(sheet, Box(LEFT + ACROSS - QR_SIDE, TOP - 3.0, QR_SIDE, QR_SIDE), paper.qr_text, DOTS_AN_INCH)
    warning = Box(LEFT, TOP + 35.0, ACROSS, 8.5)
    said = " ".join((wording.TRIM_ALL_OFF, *paper.says))
    sheet.write_in(warning, said, Setting(8, 5, NARROW_BOLD), valign="middle")
    sheet.rule(LEFT, TOP + _HEAD - 1.6, LEFT + ACROSS, TOP + _HEAD - 1.6, 0.4, INK)


def _draw_tickets(sheet: Sheet, paper: RunSheet, tickets: list[CutTicket], top: float) -> None:
    lefts, x = [], LEFT
    for caption, share in _COLUMNS:
        if caption:
            draw_caption(sheet, x, top, caption)
        lefts.append((x, share * ACROSS))
        x += share * ACROSS
    y = top + _TABLE_HEAD - 1.0
    for ticket in tickets:
        sheet.rule(LEFT, y, LEFT + ACROSS, y, 0.15, FAINT)
        values = (
            (str(ticket.number), BOLD),
            (ticket.code, BOLD),
            (ticket.order, PLAIN),
            (paper.customers.get(ticket.order, ""), PLAIN),
            (wording.and_spares(ticket.good, ticket.spares, ticket.lost), BOLD),
            (wording.from_to(ticket.first, ticket.last), NARROW),
            (wording.metres_from_to(ticket.from_mm, ticket.to_mm), NARROW),
        )
        for (left, width), (text, style) in zip(lefts, values, strict=True):
            sheet.write_in(
                Box(left, y + 0.4, width - 1.5, _ROW - 0.8), text, Setting(9, 5, style, 1), valign="middle"
            )
        y += _ROW
    sheet.rule(LEFT, y, LEFT + ACROSS, y, 0.15, INK)


def _draw_foot(sheet: Sheet, paper: RunSheet) -> None:
    said = last_lines(sheet) or wording.sheet_foot(paper.run)
    sheet.write_in(Box(LEFT, HEIGHT - FOOT + 2.0, ACROSS, 4.0), said, Setting(6.5, 4, NARROW, 1), GREY)
