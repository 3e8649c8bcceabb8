"""The tables of a job ticket: how many of each size, and the stations to tick by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tickets import wording
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD
from tickets.paper.parts import NARROW, draw_caption
from tickets.paper.sheet import FAINT, GREY, INK, Sheet
from tickets.paper.ticket import StationTick

LEAST_SIZE_CELL_MM = 8.5
MOST_SIZE_ROWS = 2
STATIONS_A_ROW = 6
MOST_STATION_ROWS = 10  # more stations are ticked side by side, without room for numbers


def rows_of_sizes(count: int, width: float) -> int:
    """How many rows the sizes take on so many mm."""
    return min(MOST_SIZE_ROWS, max(1, math.ceil(count / _across(width))))


def _across(width: float) -> int:
    return max(1, int(width / LEAST_SIZE_CELL_MM))


def draw_sizes(sheet: Sheet, box: Box, sizes: Sequence[tuple[str, int]]) -> None:
    """A cell for each size with its count; what two rows can't hold is added up in the last cell."""
    draw_caption(sheet, box.x, box.y, wording.SIZES)
    rows = rows_of_sizes(len(sizes), box.width)
    most = rows * _across(box.width)
    if len(sizes) > most:
        rest = sizes[most - 1 :]
        sizes = [*sizes[: most - 1], (wording.more_sizes(len(rest)), sum(count for _, count in rest))]
        sheet.was_cut = True
    across = math.ceil(len(sizes) / rows)
    top, height = box.y + 3.0, (box.height - 3.4) / rows
    width = min(box.width / max(1, across), 16.0)
    for number, (name, count) in enumerate(sizes):
        cell = Box(box.x + number % across * width, top + number // across * height, width, height)
        sheet.outline(cell, 0.15, INK)
        upper = Box(cell.x + 0.6, cell.y + 0.5, cell.width - 1.2, cell.height * 0.36)
        lower = Box(cell.x + 0.6, cell.y + cell.height * 0.42, cell.width - 1.2, cell.height * 0.5)
        sheet.write_in(upper, name, Setting(7, 4, NARROW, 1), GREY, "centre", "middle")
        sheet.write_in(lower, f"{count}", Setting(11, 5, BOLD, 1), INK, "centre", "middle")


def draw_stations(sheet: Sheet, box: Box, stations: Sequence[StationTick]) -> None:
    """A row a station: a square to tick, what was good and spoiled, who, when; skipped ones struck out."""
    columns = (
        ("", 0.0),
        (wording.GOOD, 0.36),
        (wording.SPOILED, 0.50),
        (wording.BY, 0.64),
        (wording.AT, 0.84),
    )
    row = min(7.5, (box.height - 3.0) / max(1, len(stations)))
    for name, share in columns:
        draw_caption(sheet, box.x + share * box.width + (1.0 if share else 0.0), box.y, name)
    draw_caption(sheet, box.x, box.y, wording.STATIONS)
    top = box.y + 3.0
    bottom = top + row * len(stations)
    for number, station in enumerate(stations):
        y = top + number * row
        sheet.rule(box.x, y, box.x + box.width, y, 0.15, FAINT if number else INK)
        _draw_station(sheet, Box(box.x, y, box.width * 0.36, row), station)
    sheet.rule(box.x, bottom, box.x + box.width, bottom, 0.15, INK)
    for _, share in columns[1:]:
        x = box.x + share * box.width
        sheet.rule(x, top, x, bottom, 0.15, FAINT)


def _draw_station(sheet: Sheet, box: Box, station: StationTick) -> None:
    side = min(3.6, box.height * 0.6)
    colour = FAINT if station.is_skipped else INK
    tick = Box(box.x + 0.3, box.y + (box.height - side) / 2, side, side)
    sheet.outline(tick, 0.25, colour)
    words = Box(box.x + side + 2, box.y + 0.3, box.width - side - 3, box.height - 0.6)
    text = sheet.write_in(
        words, station.label, Setting(min(10.0, box.height * 1.7), 4, BOLD, 1), colour, valign="middle"
    )
    if station.is_skipped:
        middle = box.y + box.height / 2
        sheet.rule(tick.x - 0.6, middle, words.x + text.width_mm + 0.8, middle, 0.35, INK)


def draw_ticks(sheet: Sheet, box: Box, stations: Sequence[StationTick]) -> None:
    """Stations side by side, a square to tick each, in as many rows as they need."""
    draw_caption(sheet, box.x, box.y, wording.STATIONS)
    rows = math.ceil(len(stations) / STATIONS_A_ROW)
    across = max(1, math.ceil(len(stations) / max(1, rows)))
    width, height = box.width / across, (box.height - 3.0) / max(1, rows)
    for number, station in enumerate(stations):
        x, y = box.x + number % across * width, box.y + 2.8 + number // across * height
        _draw_station(sheet, Box(x, y, width, height), station)
