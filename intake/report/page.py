"""The artwork report for a customer: the art with its places marked, and every finding with what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

from intake.facts import Finding, Level, Preflight, Verdict
from intake.report.facts import ReportFacts
from intake.report.panel import (
    COLOURS,
    DISC,
    GUTTER,
    NARROW,
    choose_details,
    draw_detail,
    draw_number,
    draw_panel,
    draw_swatch,
    scale_in,
)
from tickets import wording
from tickets.paper.fitting import Box, Setting, fit
from tickets.paper.fonts import BOLD, PLAIN, Fonts
from tickets.paper.parts import Field, draw_caption, draw_fields, last_lines
from tickets.paper.pictures import colour_of, open_picture
from tickets.paper.sheet import FAINT, GREY, INK, PALE, Colour, Sheet

WIDTH, HEIGHT = 210.0, 297.0  # ISO 216 A4
LEFT, TOP = 16.0, 12.0
ACROSS = WIDTH - 2 * LEFT
BOTTOM = HEIGHT - 21.0  # what is above it is the report, below it the foot
HEAD_BOTTOM = 58.0
TILE, LEAST_TILE, TILE_FOOT = 42.0, 28.0, 6.0
SWATCH_HEIGHT = 34.0
ART_MOST = 132.0
TEXT_LEFT, VALUES = 9.0, 34.0  # of a finding's row
GREEN: Colour = (0.10, 0.42, 0.22)


@dataclass(frozen=True, slots=True)
class _Setting:
    """How findings are set: sizes in pt, distances in mm, and the least height that is left to the art."""

    text: float
    title: float
    head: float  # from the top of a row to its text
    between: float
    foot: float
    art_least: float

    @property
    def says(self) -> Setting:
        return Setting(self.text, self.text - 1.5, PLAIN)

    @property
    def do(self) -> Setting:
        return Setting(self.text, self.text - 1.5, BOLD)


ROOMY = _Setting(text=9.5, title=11.5, head=6.4, between=2.2, foot=4.8, art_least=78.0)
CLOSE = _Setting(text=8.5, title=10.0, head=5.4, between=0.9, foot=3.0, art_least=64.0)  # to stay on one page
VALUES_HEIGHT = 16.5


@dataclass(frozen=True, slots=True)
class _Row:
    number: int
    finding: Finding
    setting: _Setting
    says_height: float
    do_height: float

    @property
    def height(self) -> float:
        setting = self.setting
        said = self.says_height + (self.do_height + setting.between if self.do_height else 0.0)
        values = VALUES_HEIGHT if self.finding.measured is not None else 0.0
        return max(setting.head + said, values) + setting.foot


def render_report(facts: ReportFacts, preflight: Preflight, fonts: Fonts) -> bytes:
    """The report as PDF, on one A4 page when the findings fit; the same facts give the same bytes."""
    title = f"{wording.ARTWORK_REPORT} {facts.order} / {facts.item}"
    sheet = Sheet(WIDTH, HEIGHT, fonts, title=title, author=facts.writer.name)
    picture = open_picture(preflight.picture_png)
    rows, art_height, pages = _set(facts, preflight, picture, fonts, ROOMY)
    if len(pages) > 1:
        closer = _set(facts, preflight, picture, fonts, CLOSE)
        rows, art_height, pages = closer if len(closer[2]) == 1 else (rows, art_height, pages)
    for number, (top, of_page) in enumerate(pages, 1):
        if number == 1:
            _draw_head(sheet, facts, preflight)
            _draw_art(sheet, Box(LEFT, HEAD_BOTTOM, ACROSS, art_height), facts, preflight, picture)
        else:
            sheet.next_page()
            _draw_running_head(sheet, facts)
        _draw_rows(sheet, top, of_page)
        if not rows:
            box = Box(LEFT, top + 2, ACROSS, 10)
            sheet.write_in(box, wording.NOTHING_FOUND, ROOMY.says)
        _draw_foot(sheet, facts, number, len(pages))
    return sheet.finish()


def _set(
    facts: ReportFacts, preflight: Preflight, picture: Image.Image | None, fonts: Fonts, setting: _Setting
) -> tuple[list[_Row], float, list[tuple[float, list[_Row]]]]:
    """The rows in this setting, the height of the art, and the rows of each page with where they begin."""
    rows = [_row(number, finding, fonts, setting) for number, finding in enumerate(preflight.findings, 1)]
    needed = sum(row.height for row in rows) or 12.0
    room = min(ART_MOST, max(setting.art_least, BOTTOM - HEAD_BOTTOM - needed - 6))
    art_height = _height_of_art(facts, preflight, picture, room)
    return rows, art_height, _paged(rows, HEAD_BOTTOM + art_height + 6)


def _row(number: int, finding: Finding, fonts: Fonts, setting: _Setting) -> _Row:
    column = Box(0, 0, ACROSS - TEXT_LEFT - VALUES, 200)
    says = fit(finding.says, column, setting.says, fonts).height_mm
    told = f"{wording.WHAT_TO_DO} {finding.do}"
    do = fit(told, column, setting.do, fonts).height_mm if finding.do else 0.0
    return _Row(number, finding, setting, says, do)


def _paged(rows: Sequence[_Row], first_top: float) -> list[tuple[float, list[_Row]]]:
    """The rows of each page and where they begin; a row is never divided."""
    pages: list[tuple[float, list[_Row]]] = [(first_top, [])]
    at = first_top
    for row in rows:
        if at + row.height > BOTTOM and (pages[-1][1] or len(pages) == 1):
            at = TOP + 14
            pages.append((at, []))
        pages[-1][1].append(row)
        at += row.height
    return pages


def _draw_head(sheet: Sheet, facts: ReportFacts, preflight: Preflight) -> None:
    _draw_shop_line(sheet, facts)
    colour = {
        Verdict.CLEAR: GREEN,
        Verdict.QUERY: COLOURS[Level.QUERY],
        Verdict.REFUSE: COLOURS[Level.REFUSE],
    }
    sheet.fill(Box(LEFT, TOP + 9.0, 2.2, 11.0), colour[preflight.verdict])
    verdict = Box(LEFT + 5.5, TOP + 9.0, ACROSS - 5.5, 11.0)
    questions = sum(finding.level is Level.QUERY for finding in preflight.findings)
    said = wording.verdict(preflight.verdict, questions)
    sheet.write_in(verdict, said, Setting(19, 10, BOLD, 1), valign="middle")
    name = facts.artwork if facts.page is None else f"{facts.artwork}, page {facts.page}"
    size = wording.size_mm(*preflight.print_mm) if preflight.print_mm else "—"
    item = wording.item_of(facts.item, facts.items)
    if facts.revision > 1:
        item = f"{item} · {wording.revision(facts.revision)}"
    order = "\n".join([facts.order, item, *([facts.code] if facts.code else [])])
    garment = " · ".join(part for part in (facts.garment, facts.placement) if part)
    if facts.service == "transfers":
        garment = garment or wording.NO_GARMENT
    fields = (
        (34.0, Field(wording.ORDER, order, size=11, least=6)),
        (46.0, Field(wording.ARTWORK, name, size=11, least=6)),
        (34.0, Field(wording.PRINT_SIZE, size, size=11, least=6)),
        (22.0, Field(wording.PIECES, f"{facts.quantity}", size=11, least=6)),
        (42.0, Field(wording.GARMENT, garment, size=10, least=6)),
    )
    top = TOP + 23.5
    sheet.rule(LEFT, top, LEFT + ACROSS, top, 0.3, INK)
    draw_fields(sheet, Box(LEFT, top + 0.4, ACROSS, 15.0), fields)
    customer = Box(LEFT + ACROSS * 0.45, TOP, ACROSS * 0.55, 4.2)
    said = f"{wording.for_customer(facts.customer)}"
    sheet.write_in(customer, said, Setting(9, 6, PLAIN, 1), GREY, "right", "bottom")
    sheet.rule(LEFT, top + 15.8, LEFT + ACROSS, top + 15.8, 0.3, INK)


def _draw_shop_line(sheet: Sheet, facts: ReportFacts) -> None:
    name = Box(LEFT, TOP - 1.5, ACROSS * 0.45, 5.7)
    sheet.write_in(name, facts.writer.name, Setting(12, 6, BOLD, 1), valign="bottom")
    sheet.rule(LEFT, TOP + 6, LEFT + ACROSS, TOP + 6, 1.1, INK)


def _draw_running_head(sheet: Sheet, facts: ReportFacts) -> None:
    _draw_shop_line(sheet, facts)
    said = f"{wording.ARTWORK_REPORT} · {facts.order} · {facts.artwork}"
    box = Box(LEFT + ACROSS * 0.45, TOP, ACROSS * 0.55, 4.2)
    sheet.write_in(box, said, Setting(9, 6, PLAIN, 1), GREY, "right", "bottom")


def _draw_art(
    sheet: Sheet, box: Box, facts: ReportFacts, preflight: Preflight, picture: Image.Image | None
) -> None:
    """The panel with its numbers on the left, the art on its garment and enlarged places on the right."""
    if picture is None or preflight.print_mm is None:
        sheet.fill(box, PALE)
        sheet.write_in(box.inset(4), wording.NO_ART_TO_SHOW, Setting(11, 8, PLAIN), GREY, "centre", "middle")
        return
    print_mm, findings = preflight.print_mm, preflight.findings
    colour = colour_of(facts.garment_colour)
    swatch_height = SWATCH_HEIGHT if colour is not None else 0.0
    most = max(1, int((box.height - swatch_height) / (LEAST_TILE + TILE_FOOT)))
    details = choose_details(findings, print_mm, min(3, most))
    tile = min(TILE, (box.height - swatch_height) / max(1, len(details)) - TILE_FOOT)
    has_column = bool(details) or colour is not None
    panel_width = ACROSS - (TILE + 6 if has_column else 0)
    panel = Box(box.x, box.y, panel_width, box.height - 6)
    art = draw_panel(sheet, panel, picture, print_mm, findings)
    said = wording.shown_at(art.width / art.print_width)
    width = sheet.width_of(said, 7, NARROW)
    sheet.write(panel.x + (panel.width - width) / 2, art.y + art.height + 3.6, said, 7, NARROW, GREY)
    x, y = LEFT + ACROSS - TILE, box.y
    if colour is not None:
        on_garment = wording.on_garment(facts.garment, facts.garment_colour)
        draw_swatch(sheet, Box(x, y, TILE, swatch_height - 1.5), picture, colour, on_garment)
        y += swatch_height
    for detail in details:
        draw_detail(sheet, Box(x, y, tile, tile + 4.2), detail, picture, print_mm, colour)
        y += tile + TILE_FOOT


def _height_of_art(
    facts: ReportFacts, preflight: Preflight, picture: Image.Image | None, most: float
) -> float:
    """No more than the art itself takes, and what stands beside it."""
    if picture is None or preflight.print_mm is None:
        return 24.0
    width = ACROSS - TILE - 6 - 2 * GUTTER
    art = preflight.print_mm[1] * scale_in(width, most - 6, preflight.print_mm) + 6
    colour = SWATCH_HEIGHT if colour_of(facts.garment_colour) is not None else 0.0
    details = len(choose_details(preflight.findings, preflight.print_mm, 3))
    beside = colour + details * (LEAST_TILE + TILE_FOOT)
    return min(most, max(art, beside, 44.0))


def _draw_rows(sheet: Sheet, top: float, rows: Sequence[_Row]) -> None:
    y = top
    for row in rows:
        sheet.rule(LEFT, y - 1.8, LEFT + ACROSS, y - 1.8, 0.15, FAINT)
        _draw_row(sheet, Box(LEFT, y, ACROSS, row.height), row)
        y += row.height


def _draw_row(sheet: Sheet, box: Box, row: _Row) -> None:
    finding, setting = row.finding, row.setting
    draw_number(sheet, box.x + DISC + 0.3, box.y + DISC + 0.4, row.number, finding.level)
    x, width = box.x + TEXT_LEFT, box.width - TEXT_LEFT - VALUES
    at = x + sheet.write(x, box.y + 3.9, wording.check_title(finding.check), setting.title, BOLD) + 2.2
    sheet.write(at, box.y + 3.9, wording.LEVELS[finding.level], 8.5, PLAIN, COLOURS[finding.level])
    y = box.y + setting.head
    sheet.write_in(Box(x, y, width, row.says_height), finding.says, setting.says)
    if finding.do:
        do = Box(x, y + row.says_height + setting.between, width, row.do_height)
        sheet.write_in(do, f"{wording.WHAT_TO_DO} {finding.do}", setting.do)
    _draw_values(sheet, Box(box.x + box.width - VALUES + 4, box.y, VALUES - 4, box.height), finding)


def _draw_values(sheet: Sheet, box: Box, finding: Finding) -> None:
    told = wording.measured(finding.measured, finding.unit)
    if told:
        draw_caption(sheet, box.x, box.y + 0.6, wording.MEASURED)
        value = Box(box.x, box.y + 3.4, box.width, 5.0)
        sheet.write_in(value, told, Setting(13, 7, BOLD, 1), COLOURS[finding.level])
    if told and finding.limit is not None:
        draw_caption(sheet, box.x, box.y + 9.0, wording.LIMIT)
        limit = Box(box.x, box.y + 11.8, box.width, 4.0)
        sheet.write_in(limit, wording.measured(finding.limit, finding.unit), Setting(9.5, 6, PLAIN, 1))


def _draw_foot(sheet: Sheet, facts: ReportFacts, page: int, pages: int) -> None:
    y = BOTTOM + 3
    sheet.rule(LEFT, y, LEFT + ACROSS, y, 0.3, INK)
    sheet.write_in(Box(LEFT, y + 1.2, ACROSS, 3), wording.REPORT_LIMITS, Setting(7, 5, NARROW, 1), GREY)
    contact = " · ".join(part for part in (facts.writer.name, facts.writer.email, facts.writer.phone) if part)
    sheet.write_in(Box(LEFT, y + 4.6, ACROSS * 0.8, 3.4), contact, Setting(8, 5, PLAIN, 1))
    if pages > 1:
        said = wording.page_of(page, pages)
        sheet.write(LEFT + ACROSS - sheet.width_of(said, 8), y + 7.2, said, 8, PLAIN, GREY)
    said = last_lines(sheet)
    if said:
        sheet.write_in(Box(LEFT, y + 8.6, ACROSS, 3), said, Setting(6.5, 4.5, NARROW, 1), GREY)
