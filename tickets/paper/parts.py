"""The parts that job tickets are put together from: captioned fields, the code, the art, stations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tickets import wording
from tickets.paper.fitting import MM_A_POINT, Box, Setting
from tickets.paper.fonts import BOLD, PLAIN, Style
from tickets.paper.pictures import colour_of, on_checkers, open_picture
from tickets.paper.sheet import BLACK, FAINT, GREY, INK, PALE, WHITE, Colour, Sheet, VerticalAlign
from tickets.paper.ticket import TicketPaper

CAPTION_SIZE = 5.6
NARROW = Style(narrow=True)
NARROW_BOLD = Style(bold=True, narrow=True)


@dataclass(frozen=True, slots=True)
class Field:
    """A captioned value: how large it may be set, and how small it may become, in points."""

    caption: str
    value: str
    size: float = 11
    least: float = 5.5
    style: Style = BOLD


def draw_caption(sheet: Sheet, x: float, y: float, text: str, colour: Colour = GREY) -> float:
    """Small capitals over a field; y is its upper edge. Returns the width in mm."""
    return sheet.write(x, y + 1.9, text.upper(), CAPTION_SIZE, NARROW_BOLD, colour)


def draw_field(sheet: Sheet, box: Box, field: Field, valign: VerticalAlign = "top") -> None:
    """A caption and under it the value, as large as it goes."""
    draw_caption(sheet, box.x, box.y, field.caption)
    inner = Box(box.x, box.y + 3.0, box.width, box.height - 3.4)
    sheet.write_in(inner, field.value or "—", Setting(field.size, field.least, field.style), valign=valign)


def draw_fields(
    sheet: Sheet,
    box: Box,
    fields: Sequence[tuple[float, Field]],
    inset: float = 2.0,
    valign: VerticalAlign = "top",
) -> None:
    """Fields side by side with hairlines between; each with its share of the width in mm."""
    x = box.x
    for number, (width, field) in enumerate(fields):
        left = inset if number else 0.0
        if number:
            sheet.rule(x, box.y + 0.6, x, box.y + box.height - 0.6, 0.15, FAINT)
        draw_field(
            sheet, Box(x + left, box.y + 0.8, width - left - inset / 2, box.height - 0.8), field, valign
        )
        x += width


def draw_code(sheet: Sheet, box: Box, code: str) -> None:
    """The code in very large letters, in threes, its check character framed."""
    body, check = code[:-1], code[-1]
    groups = [body[at : at + 3] for at in range(0, len(body), 3)]
    at_one_point = sum(sheet.width_of(group, 1, BOLD) for group in (*groups, check))
    gap_ems = 0.26
    gaps = gap_ems * (len(groups) + 0.5) * MM_A_POINT
    size = min(box.height / (0.74 * MM_A_POINT), box.width / (at_one_point + gaps))
    cap = 0.714 * size * MM_A_POINT
    base = box.y + (box.height + cap) / 2
    x = box.x
    gap = gap_ems * size * MM_A_POINT
    for group in groups:
        x += sheet.write(x, base, group, size, BOLD, BLACK) + gap
    frame = 0.16 * size * MM_A_POINT
    width = sheet.write(x + frame / 2, base, check, size, BOLD, BLACK)
    sheet.outline(Box(x - frame * 0.2, base - cap - frame, width + frame * 1.4, cap + 2 * frame), 0.35, INK)


def draw_flags(sheet: Sheet, box: Box, ticket: TicketPaper) -> bool:
    """Flags such as RUSH side by side: white on black when loud, else framed. False when there are none."""
    flags = _flags_of(ticket)
    gap = 1.5
    size = box.height * 0.62 / MM_A_POINT
    padding = box.height * 0.7
    room = box.width - len(flags) * (padding + gap)
    wanted = sum(sheet.width_of(text, size, NARROW_BOLD) for text, _ in flags)
    size *= min(1.0, room / wanted) if wanted else 1.0
    x = box.x
    for text, is_loud in flags:
        flag = Box(x, box.y, sheet.width_of(text, size, NARROW_BOLD) + padding, box.height)
        if is_loud:
            sheet.fill(flag, BLACK)
        else:
            sheet.outline(flag.inset(0.15), 0.3, INK)
        base = box.y + box.height / 2 + 0.357 * size * MM_A_POINT
        sheet.write(x + padding / 2, base, text, size, NARROW_BOLD, WHITE if is_loud else INK)
        x += flag.width + gap
    return bool(flags)


def _flags_of(ticket: TicketPaper) -> list[tuple[str, bool]]:
    flags = [(wording.RUSH, True)] if ticket.rush else []
    if ticket.reprint_of:
        flags.append((wording.reprint_of(ticket.reprint_of), False))
    if ticket.service == "transfers":
        flags.append((wording.TRANSFERS_ONLY, False))
    return flags


def draw_art(sheet: Sheet, box: Box, ticket: TicketPaper) -> None:
    """The art on checkers, as large as the box allows, with its print size drawn beside it."""
    picture = open_picture(ticket.picture_png)
    room = Box(box.x, box.y, box.width - 5.0, max(1.0, box.height - 5.0))
    if picture is None:
        sheet.fill(box, PALE)
        middle = Box(box.x + 3, box.y, box.width - 6, box.height)
        sheet.write_in(middle, wording.NO_PICTURE, Setting(8, 5, PLAIN), GREY, "centre", "middle")
        return
    shape = picture.width / picture.height
    if ticket.print_mm is not None and min(ticket.print_mm) > 0:
        shape = ticket.print_mm[0] / ticket.print_mm[1]
    width = max(1.0, min(room.width, room.height * shape))
    height = max(1.0, min(room.height, width / shape))
    art = Box(room.x, room.y + (room.height - height) / 2, width, height)
    sheet.image(art, on_checkers(picture, width, height))
    sheet.outline(art, 0.1, FAINT)
    if ticket.print_mm is not None:
        _draw_measures(sheet, art, ticket.print_mm)


def _draw_measures(sheet: Sheet, art: Box, print_mm: tuple[float, float]) -> None:
    """Width under the art and height beside it, as on a drawing."""
    right, below = art.x + art.width, art.y + art.height
    y, x = below + 1.6, right + 1.6
    sheet.rule(art.x, y, right, y, 0.12, GREY)
    sheet.rule(x, art.y, x, below, 0.12, GREY)
    for end in (art.x, right):
        sheet.rule(end, y - 0.8, end, y + 0.8, 0.12, GREY)
    for end in (art.y, below):
        sheet.rule(x - 0.8, end, x + 0.8, end, 0.12, GREY)
    wide = wording.length_mm(print_mm[0])
    size = 5.6
    sheet.write(
        art.x + (art.width - sheet.width_of(wide, size, NARROW)) / 2, y + 2.7, wide, size, NARROW, GREY
    )
    sheet.write_upwards(x + 2.6, art.y + art.height / 2, wording.length_mm(print_mm[1]), size, NARROW, GREY)


def draw_garment(sheet: Sheet, box: Box, ticket: TicketPaper) -> None:
    """The garment with a swatch of its colour, its cloth, and which prints share it."""
    draw_caption(sheet, box.x, box.y, wording.GARMENT)
    x, width = box.x, box.width
    colour = colour_of(ticket.garment_colour)
    if colour is not None:
        swatch = Box(box.x, box.y + 3.2, 8.0, min(8.0, box.height - 4))
        sheet.fill(swatch, (colour[0] / 255, colour[1] / 255, colour[2] / 255))
        sheet.outline(swatch, 0.2, INK)
        x, width = x + 10, width - 10
    lines = Box(x, box.y + 3.0, width, box.height - 3.4)
    more = " · ".join(part for part in (ticket.fabric, ticket.garment_colour) if part)
    if ticket.garment_set:
        more = f"{more} · {wording.same_garments(ticket.garment_set)}" if more else ticket.garment_set
    said = ticket.garment or (wording.NO_GARMENT if ticket.service == "transfers" else "—")
    first = sheet.write_in(
        Box(lines.x, lines.y, lines.width, lines.height * (0.62 if more else 1)),
        said,
        Setting(11, 5.5, BOLD),
    )
    below = min(first.height_mm, lines.height * 0.62) + 1.0
    if more:
        rest = Box(lines.x, lines.y + below, lines.width, max(2.0, lines.height - below))
        sheet.write_in(rest, more, Setting(7.5, 5, PLAIN), GREY)


def last_lines(sheet: Sheet) -> str:
    """What the paper has to say of itself: characters without a font, and texts that were cut."""
    said = []
    if sheet.missing:
        said.append(wording.characters_missing(sorted(sheet.missing)))
    if sheet.was_cut:
        said.append(wording.TEXT_WAS_CUT)
    return " ".join(said)
