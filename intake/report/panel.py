"""The art on checkers with its places framed and numbered, and small places enlarged beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from PIL import Image

from intake.facts import Finding, Level, Place
from intake.report.markers import ArtBox, Frame, Marker, choose_marked, frames_of, place_markers
from tickets import wording
from tickets.paper.fitting import MM_A_POINT, Box, Setting
from tickets.paper.fonts import BOLD, PLAIN, Style
from tickets.paper.pictures import GREY_TONES, checkers, on_checkers, tones_for
from tickets.paper.sheet import FAINT, GREY, INK, WHITE, Colour, Sheet

GUTTER = 9.0  # on either side of the art, for the numbers
EASILY_SEEN = 80.0  # smaller prints are shown enlarged to this
MANY_FRAMES = 12  # more than these are framed in thinner lines
DISC = 2.6  # radius of a number
NARROW = Style(narrow=True)
# Told apart by tone too, and every number stands with the word of its level in the list.
COLOURS: dict[Level, Colour] = {
    Level.REFUSE: (0.66, 0.05, 0.10),
    Level.QUERY: (0.80, 0.36, 0.0),
    Level.NOTE: (0.16, 0.36, 0.56),
}
_SMALL_SHARE = 0.22  # of the longer side of the print: smaller places are worth enlarging
TIMES = 5.0  # insets are so many times the real size, so that one can be held against another
ARROW = 1.7  # mm: the length of an arrow's head


@dataclass(frozen=True, slots=True)
class Detail:
    """A place of the print that is shown enlarged, in mm of the print."""

    number: int
    level: Level
    place: Place
    on_garment: bool = False  # it only shows against the garment's colour


def draw_panel(
    sheet: Sheet,
    box: Box,
    picture: Image.Image,
    print_mm: tuple[float, float],
    findings: Sequence[Finding],
    *,
    fills: bool = False,
) -> ArtBox:
    """Draw the art with every place marked: at most at its real size, or so large that it `fills` the box."""
    room = Box(box.x + GUTTER, box.y, box.width - 2 * GUTTER, box.height)
    scale = scale_in(room.width, room.height, print_mm, fills=fills)
    width, height = print_mm[0] * scale, print_mm[1] * scale
    left, top = room.x + (room.width - width) / 2, room.y
    art = ArtBox(left, top, width, height, print_mm[0], print_mm[1])
    place = Box(art.x, art.y, art.width, art.height)
    sheet.image(place, on_checkers(picture, width, height))
    sheet.outline(place, 0.12, FAINT)
    frames = frames_of(findings, art)
    line_mm = 0.45 if len(frames) <= MANY_FRAMES else 0.25
    for frame in frames:
        _draw_frame(sheet, frame, line_mm)
    marked = choose_marked(frames)
    gap = 2 * DISC + 0.8
    gutter_top = box.y + DISC
    gutter_bottom = min(box.y + box.height - DISC, max(top + height - DISC, gutter_top + gap * len(marked)))
    for marker in place_markers(marked, art, gutter_top, gutter_bottom, gap):
        _draw_marker(sheet, marker, art)
    return art


def scale_in(width: float, height: float, print_mm: tuple[float, float], *, fills: bool = False) -> float:
    """How large the art is shown: its real size at most, unless it is hard to see or `fills`."""
    scale = min(width / print_mm[0], height / print_mm[1])
    return scale if fills else min(scale, max(1.0, EASILY_SEEN / max(print_mm)))


def _draw_frame(sheet: Sheet, frame: Frame, line_mm: float = 0.45) -> None:
    box = Box(frame.x, frame.y, frame.width, frame.height)
    sheet.outline(box, 2.2 * line_mm, WHITE)
    sheet.outline(box, line_mm, COLOURS[frame.level])


def _draw_marker(sheet: Sheet, marker: Marker, art: ArtBox) -> None:
    frame = marker.frame
    x = art.x - GUTTER / 2 - 0.5 if marker.is_left else art.x + art.width + GUTTER / 2 + 0.5
    start = x + DISC if marker.is_left else x - DISC
    end_x = frame.x if marker.is_left else frame.x + frame.width
    end_y = min(max(marker.y, frame.y + 0.3), frame.y + frame.height - 0.3)
    sheet.rule(start, marker.y, end_x, end_y, 0.9, WHITE)
    sheet.rule(start, marker.y, end_x, end_y, 0.4, COLOURS[frame.level])
    _draw_arrow_head(sheet, (start, marker.y), (end_x, end_y), COLOURS[frame.level])
    draw_number(sheet, x, marker.y, frame.number, frame.level)


def _draw_arrow_head(
    sheet: Sheet, start: tuple[float, float], end: tuple[float, float], colour: Colour
) -> None:
    """The end of a line that points at a place; left out where the line is hardly longer than it."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    if length < 1.5 * ARROW:
        return
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    for reach, broad, tone in ((ARROW + 0.5, 0.95, WHITE), (ARROW, 0.65, colour)):
        foot = (end[0] - along[0] * reach, end[1] - along[1] * reach)
        corners = [(foot[0] - along[1] * side, foot[1] + along[0] * side) for side in (broad, -broad)]
        sheet.polygon([end, *corners], tone)


def draw_number(sheet: Sheet, x: float, y: float, number: int, level: Level, radius: float = DISC) -> None:
    """A finding's number in white on a disc of its level's colour."""
    sheet.disc(x, y, radius + 0.3, WHITE)
    sheet.disc(x, y, radius, COLOURS[level])
    text = str(number)
    size = radius * (1.25 if len(text) == 1 else 1.0) / MM_A_POINT
    width = sheet.width_of(text, size, BOLD)
    sheet.write(x - width / 2, y + 0.36 * size * MM_A_POINT, text, size, BOLD, WHITE)


def choose_details(findings: Sequence[Finding], print_mm: tuple[float, float], most: int) -> list[Detail]:
    """The places worth enlarging: of each finding the worst small one, or where a large one is worst."""
    details = []
    for number, finding in enumerate(findings, 1):
        small = (p for p in finding.places if max(p.width_mm, p.height_mm) < _SMALL_SHARE * max(print_mm))
        place = next(small, None) or next((p for p in finding.places if p.at_mm), None)
        if place is not None:
            details.append(Detail(number, finding.level, place, finding.check == "fringe"))
    return details[:most]


def _region(place: Place, side: float, print_mm: tuple[float, float]) -> Place:
    is_large = max(place.width_mm, place.height_mm) > side
    middle = place.x_mm + place.width_mm / 2, place.y_mm + place.height_mm / 2
    at = place.at_mm if place.at_mm and is_large else middle
    x, y = at[0] - side / 2, at[1] - side / 2
    x, y = max(0.0, min(x, print_mm[0] - side)), max(0.0, min(y, print_mm[1] - side))
    return Place(x, y, side, side)


def region_in(detail: Detail, side: float, print_mm: tuple[float, float]) -> Place:
    """What a square of `side` mm shows of the print, five times its real size: round the middle of a place.

    Of a place that is larger than that, what lies round where it is worst.

    Of a print that is smaller than that, all of the shorter side.
    """
    return _region(detail.place, min(side / TIMES, *print_mm), print_mm)


def draw_detail(
    sheet: Sheet,
    box: Box,
    detail: Detail,
    picture: Image.Image,
    print_mm: tuple[float, float],
    garment: tuple[int, int, int] | None = None,
) -> None:
    """One region enlarged into a square, its place framed, with how many times it is enlarged and a scale.

    What only shows against the garment is drawn on its colour, when that is known, and on grey checkers else.
    """
    side = min(box.width, box.height - 4.2)
    px_x, px_y = picture.width / print_mm[0], picture.height / print_mm[1]
    region = region_in(detail, side, print_mm)
    corners = (
        region.x_mm * px_x,
        region.y_mm * px_y,
        (region.x_mm + region.width_mm) * px_x,
        (region.y_mm + region.height_mm) * px_y,
    )
    pixels = max(1, round(side * 300 / 25.4))
    part = picture.resize((pixels, pixels), Image.Resampling.BICUBIC, box=corners)
    tones = GREY_TONES if detail.on_garment else tones_for(picture)
    ground = checkers(part.size, pixels / max(4, round(side / 1.6)), tones)
    if detail.on_garment and garment is not None:
        ground = Image.new("RGBA", part.size, (*garment, 255))
    tile = Box(box.x, box.y, side, side)
    sheet.image(tile, Image.alpha_composite(ground, part).convert("RGB"))
    times = side / region.width_mm
    framed = ArtBox(tile.x, tile.y, side, side, region.width_mm, region.height_mm).frame(
        _within(detail.place, region),
        detail.number,
        detail.level,
    )
    _draw_frame(sheet, framed)
    sheet.outline(tile, 0.3, COLOURS[detail.level])
    draw_number(sheet, tile.x + 0.4, tile.y + 0.4, detail.number, detail.level, 2.1)
    _draw_scale(sheet, Box(tile.x, tile.y + side, side, 4.2), times)


def _within(place: Place, region: Place) -> Place:
    """What of a place lies in a region, from the region's corner."""
    left, top = max(0.0, place.x_mm - region.x_mm), max(0.0, place.y_mm - region.y_mm)
    right = min(region.width_mm, place.x_mm + place.width_mm - region.x_mm)
    bottom = min(region.height_mm, place.y_mm + place.height_mm - region.y_mm)
    return Place(left, top, right - left, bottom - top)


def _draw_scale(sheet: Sheet, box: Box, times: float) -> None:
    """How many times it is enlarged, and a bar of a round length."""
    bar_mm = next((mm for mm in (20, 10, 5, 2, 1, 0.5) if mm * times <= box.width * 0.45), 0.2)
    width, y = bar_mm * times, box.y + 1.6
    sheet.rule(box.x, y, box.x + width, y, 0.35, INK)
    for x in (box.x, box.x + width):
        sheet.rule(x, y - 0.7, x, y + 0.7, 0.25, INK)
    sheet.write(box.x + width + 1.0, box.y + 2.5, wording.length_mm(bar_mm), 6, NARROW, GREY)
    said = wording.enlarged(times)
    sheet.write(box.x + box.width - sheet.width_of(said, 6, NARROW), box.y + 2.5, said, 6, NARROW, GREY)


def draw_swatch(
    sheet: Sheet, box: Box, picture: Image.Image, colour: tuple[int, int, int], said: str
) -> None:
    """The art on the garment's colour, as far as paper can tell."""
    from tickets.paper.pictures import on_colour

    height = box.height - 4.2
    ground = Box(box.x, box.y, box.width, height)
    sheet.fill(ground, (colour[0] / 255, colour[1] / 255, colour[2] / 255))
    sheet.outline(ground, 0.15, GREY)
    scale = min((box.width - 6) / picture.width, (height - 6) / picture.height)
    width, tall = picture.width * scale, picture.height * scale
    small = picture.copy()
    small.thumbnail((600, 600))
    where = Box(box.x + (box.width - width) / 2, box.y + (height - tall) / 2, width, tall)
    sheet.image(where, on_colour(small, colour))
    sheet.write_in(Box(box.x, box.y + height + 0.5, box.width, 3.6), said, Setting(6.5, 4.5, PLAIN, 1), GREY)
