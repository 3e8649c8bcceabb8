"""The test chart as PDF: one page to print on film in exact vector sizes, one page with the form."""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image

from intake.chart import sizes, wording
from intake.chart.sizes import Feature, Kind
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD, PLAIN, Fonts
from tickets.paper.sheet import FAINT, GREY, INK, WHITE, Colour, Sheet
from tickets.wording import CAUTIONS, CAUTIONS_DEFER

DEFAULT_COLOUR = (226, 62, 20)  # seen on dark and on light cloth
_LABEL = 8.5  # points: bold strokes of labels are wider than what the limits ask about
_ROW_MM = 5.6
_RAMP_PPI = 300


def render_chart(fonts: Fonts, colour: tuple[int, int, int] = DEFAULT_COLOUR) -> bytes:
    """The chart in one ink colour (RGB 0–255), and its form; the same colour gives the same bytes."""
    ink = (colour[0] / 255, colour[1] / 255, colour[2] / 255)
    sheet = Sheet(sizes.WIDTH_MM, sizes.HEIGHT_MM, fonts, title=wording.TITLE, author="filmdocket")
    _draw_head(sheet, ink)
    for feature in sizes.features():
        _draw_feature(sheet, feature, ink)
    _label_columns(sheet, ink)
    _draw_type(sheet, ink)
    _draw_ramps(sheet, colour, ink)
    sheet.next_page()
    _draw_form(sheet)
    return sheet.finish()


def _draw_head(sheet: Sheet, ink: Colour) -> None:
    sheet.write(sizes.LEFT_MM, 9.0, wording.TITLE, 20, BOLD, ink)
    ruler_y = 14.5
    sheet.fill(Box(sizes.LEFT_MM, ruler_y, 100.0, 1.0), ink)
    for x in (0.0, 99.0):
        sheet.fill(Box(sizes.LEFT_MM + x, ruler_y - 1.5, 1.0, 4.0), ink)
    sheet.write(sizes.LEFT_MM, ruler_y + 7.0, wording.RULER, _LABEL, BOLD, ink)


def _draw_feature(sheet: Sheet, feature: Feature, ink: Colour) -> None:
    box = Box(feature.x, feature.y, feature.width, feature.height)
    if feature.kind is Kind.LINE:
        _draw_line(sheet, box, ink)
    elif feature.kind is Kind.DOT:
        sheet.disc(box.x + box.width / 2, box.y + box.height / 2, feature.size_mm / 2, ink)
    elif feature.height > feature.width:
        # Both blocks as one shape: renderers snap a lone rectangle to whole pixels, and the gap with it.
        sides = (box.x - sizes.BLOCK_MM, box.x + box.width)
        sheet.fill_all([Box(x, box.y, sizes.BLOCK_MM, box.height) for x in sides], ink)
    else:
        ends = (box.y - sizes.BLOCK_MM, box.y + box.height)
        sheet.fill_all([Box(box.x, y, box.width, sizes.BLOCK_MM) for y in ends], ink)


def _draw_line(sheet: Sheet, box: Box, ink: Colour) -> None:
    """A stroke as long as the box's longer side and as wide as its shorter one."""
    middle_x, middle_y = box.x + box.width / 2, box.y + box.height / 2
    if box.width > box.height:
        sheet.rule(box.x, middle_y, box.x + box.width, middle_y, box.height, ink)
    else:
        sheet.rule(middle_x, box.y, middle_x, box.y + box.height, box.width, ink)


def _label_columns(sheet: Sheet, ink: Colour) -> None:
    rows = (
        (wording.LINES, sizes.LINES_MM, 29.0, 34.0),
        (wording.GAPS, sizes.GAPS_MM, 67.0, 73.0),
        (wording.DOTS, sizes.DOTS_MM, 120.0, 126.0),
    )
    for title, graded, title_y, label_y in rows:
        sheet.write(sizes.LEFT_MM, title_y, title, 11, BOLD, ink)
        for number, size in enumerate(graded):
            sheet.write(sizes.column_x(number), label_y, f"{size:.2f}", _LABEL, BOLD, ink)


def _draw_type(sheet: Sheet, ink: Colour) -> None:
    """Each size on clear film, and left open in a block of ink."""
    left, middle = sizes.LEFT_MM, sizes.WIDTH_MM / 2
    sheet.write(left, sizes.TYPE_Y, wording.TYPE, 11, BOLD, ink)
    sheet.write(middle, sizes.TYPE_Y, wording.REVERSED, 11, BOLD, ink)
    y = sizes.TYPE_Y + 4.0
    for points in sizes.TYPE_PT:
        row = max(7.0, points * 0.3528 * 1.9)
        base = y + row * 0.68
        sheet.write(left, base, f"{points:g}", _LABEL, BOLD, ink)
        sheet.write(left + 9.0, base, wording.SAMPLE, points, PLAIN, ink)
        _draw_open_type(
            sheet, Box(middle, y + 0.4, sizes.WIDTH_MM - middle - 4.0, row - 1.2), base, points, ink
        )
        y += row + 1.6


def _draw_open_type(sheet: Sheet, box: Box, base: float, points: float, ink: Colour) -> None:
    """Type that is not printed: a shape of the block with the letters as holes."""
    sheet.knock_out(box, box.x + 4.0, base, wording.SAMPLE, points, ink)


def _draw_ramps(sheet: Sheet, colour: tuple[int, int, int], ink: Colour) -> None:
    sheet.write(sizes.LEFT_MM, sizes.RAMPS_Y, wording.RAMPS, 11, BOLD, ink)
    for number, share in enumerate(sizes.SHARES):
        x = sizes.LEFT_MM + number * 18.0
        sheet.write(x, sizes.RAMPS_Y + 6.0, f"{share:.0%}", _LABEL, BOLD, ink)
        sheet.fill(Box(x, sizes.RAMPS_Y + 8.0, 14.0, 12.0), ink, share)
    width = sizes.WIDTH_MM - 2 * sizes.LEFT_MM
    sheet.image(Box(sizes.LEFT_MM, sizes.RAMPS_Y + 25.0, width, 14.0), _ramp(colour, width), masked=True)


def _ramp(colour: tuple[int, int, int], width_mm: float) -> Image.Image:
    """Coverage from full to none, even across the width."""
    pixels = round(width_mm * _RAMP_PPI / 25.4)
    ramp = Image.linear_gradient("L").rotate(90, expand=True)  # 255 at one end, 0 at the other
    whole = Image.new("RGBA", (pixels, round(14.0 * _RAMP_PPI / 25.4)), colour)
    alpha = ramp.resize(whole.size, Image.Resampling.BICUBIC)
    first = alpha.getpixel((0, 0))
    assert isinstance(first, int)
    whole.putalpha(alpha if first > 127 else alpha.transpose(Image.Transpose.FLIP_LEFT_RIGHT))
    return whole


def _draw_form(sheet: Sheet) -> None:
    left, width = sizes.LEFT_MM, sizes.WIDTH_MM - 2 * sizes.LEFT_MM
    sheet.write(left, 9.0, wording.FORM_TITLE, 20, BOLD)
    sheet.write_in(Box(left, 13.0, width, 5.0), wording.ABOUT, Setting(9, 7, PLAIN, 1))
    y = 21.0
    for number, name in enumerate(wording.FIELDS):
        x = left + (number % 2) * width / 2
        y += 7.6 if number % 2 == 0 else 0.0
        wide = sheet.width_of(name, 9)
        sheet.write(x, y, name, 9, PLAIN, GREY)
        sheet.rule(x + wide + 2.0, y + 0.6, x + width / 2 - 5.0, y + 0.6, 0.2, GREY)
    sheet.write_in(Box(left, y + 5.0, width, 10.0), wording.HOW, Setting(9.5, 8, PLAIN))
    y += 18.0
    tables = (
        (wording.LINES, [f"{size:.2f}" for size in sizes.LINES_MM]),
        (wording.GAPS, [f"{size:.2f}" for size in sizes.GAPS_MM]),
        (wording.DOTS, [f"{size:.2f}" for size in sizes.DOTS_MM]),
    )
    for title, graded in tables:
        y = _draw_table(sheet, y, title, graded)
    for said in (wording.TEXT, wording.SOFT):
        sheet.write(left, y, f"{said}: ________", 9.5)
        y += 6.0
    sheet.write(left, y + 2.0, wording.TYPED, 9.5)
    sheet.write(left, y + 8.0, wording.COMMAND, 10.5, BOLD)
    y = sizes.HEIGHT_MM - 4.0 * (len(CAUTIONS) + 1) + 1.0
    sheet.rule(left, y - 4.0, left + width, y - 4.0, 0.3)
    for said in (CAUTIONS_DEFER, *CAUTIONS):
        sheet.write(left, y, said, 8.5, BOLD if said is CAUTIONS_DEFER else PLAIN)
        y += 4.0


def _draw_table(sheet: Sheet, y: float, title: str, graded: Sequence[str]) -> float:
    """One kind's table of ticks, a row a step; returns where the next thing may begin."""
    left, first, column = sizes.LEFT_MM, 26.0, 14.4
    sheet.write(left, y, title, 11, BOLD)
    y += 2.5
    for number, label in enumerate(graded):
        x = left + first + number * column
        sheet.write(x + (column - sheet.width_of(label, 9, BOLD)) / 2, y + 4.0, label, 9, BOLD)
    y += 5.6
    for step in sizes.STEPS:
        sheet.write(left, y + 4.0, wording.STEP_NAMES[step], 9)
        for number in range(len(graded)):
            cell = Box(left + first + number * column + 4.7, y + 0.5, 4.6, 4.6)
            sheet.fill(cell, WHITE)
            sheet.outline(cell, 0.25, INK)
        sheet.rule(left, y + _ROW_MM, left + first + len(graded) * column, y + _ROW_MM, 0.12, FAINT)
        y += _ROW_MM
    sheet.write(left, y + 5.0, f"{wording.SMALLEST}: ________ mm", 9.5, BOLD)
    return y + 12.0
