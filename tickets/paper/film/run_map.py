"""The map of a run: the film in stretches side by side, each piece with the number of its ticket."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tickets import wording_film_file as wording
from tickets.film.model import RunPiece, StoredRun
from tickets.film.strips import CutTicket, Strip
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD
from tickets.paper.parts import NARROW
from tickets.paper.sheet import FAINT, GREY, INK, WHITE, Colour, Sheet

_GUTTER = 9.0  # mm between stretches, for the numbers of strips and metres
_MOST_STRETCHES = 8
_SIZES = (4.0, 11.0)  # of the numbers in pieces, in points
# Neighbours are told apart by their ground; their number says whose they are.
_GROUNDS: tuple[Colour, ...] = (
    (0.93, 0.93, 0.92),
    (0.84, 0.84, 0.83),
    (0.98, 0.98, 0.97),
    (0.76, 0.76, 0.75),
)


@dataclass(frozen=True, slots=True)
class MapBox:
    """What is drawn: the run, the strips that it is cut into, and its tickets with their numbers."""

    run: StoredRun
    strips: tuple[Strip, ...]
    tickets: tuple[CutTicket, ...]


@dataclass(frozen=True, slots=True)
class _Stretch:
    """One stretch of film on paper: where it stands, and the scale."""

    left: float
    top: float
    from_mm: float
    to_mm: float
    scale: float

    def box(self, piece: RunPiece) -> Box:
        """A piece on paper, as much of it as lies on this stretch."""
        start, end = max(piece.y_mm, self.from_mm), min(piece.y_mm + piece.height_mm, self.to_mm)
        x, y = self.left + piece.x_mm * self.scale, self.top + (start - self.from_mm) * self.scale
        return Box(x, y, piece.width_mm * self.scale, (end - start) * self.scale)


def draw_map(sheet: Sheet, box: Box, shown: MapBox) -> None:
    """Draw the run from its start at the top left, stretch by stretch to the right."""
    numbers = {ticket.code: ticket.number for ticket in shown.tickets}
    for stretch in _stretches(box, shown.run):
        height = (stretch.to_mm - stretch.from_mm) * stretch.scale
        film = Box(stretch.left, stretch.top, shown.run.width_mm * stretch.scale, height)
        sheet.fill(film, WHITE)
        for piece in shown.run.pieces:
            if piece.y_mm < stretch.to_mm and piece.y_mm + piece.height_mm > stretch.from_mm:
                _draw_piece(sheet, stretch.box(piece), piece, numbers[piece.code])
        _draw_strips(sheet, stretch, film, shown.strips)
        sheet.outline(film, 0.2, INK)


def _stretches(box: Box, run: StoredRun) -> list[_Stretch]:
    """As many stretches as show the film largest."""
    best = (0.0, 1)
    for count in range(1, _MOST_STRETCHES + 1):
        across = (box.width / count - _GUTTER) / run.width_mm
        best = max(best, (min(across, (box.height - 1.0) * count / run.length_mm), count))
    scale, count = best
    step = run.length_mm / count
    width = run.width_mm * scale + _GUTTER
    return [
        _Stretch(box.x + _GUTTER + at * width, box.y, at * step, (at + 1) * step, scale)
        for at in range(count)
    ]


def _draw_piece(sheet: Sheet, place: Box, piece: RunPiece, number: int) -> None:
    if place.height < 0.2:
        return
    sheet.fill(place, _GROUNDS[number % len(_GROUNDS)])
    sheet.outline(place, 0.1, INK)
    if piece.lost:
        sheet.rule(place.x, place.y, place.x + place.width, place.y + place.height, 0.25, INK)
        sheet.rule(place.x, place.y + place.height, place.x + place.width, place.y, 0.25, INK)
    text = wording.on_map(number, is_spare=piece.spare)
    size = min(_SIZES[1], place.height * 2.2, place.width * 2.8 / max(2, len(text)))
    if size >= _SIZES[0] and not piece.lost:
        sheet.write_in(place, text, Setting(size, size, BOLD, 1), INK, "centre", "middle")


def _draw_strips(sheet: Sheet, stretch: _Stretch, film: Box, strips: tuple[Strip, ...]) -> None:
    """The straight cuts, and beside each strip its number; metres at the ends of the stretch."""
    for strip in strips:
        top = stretch.top + (strip.from_mm - stretch.from_mm) * stretch.scale
        if strip.number > 1 and stretch.from_mm < strip.from_mm < stretch.to_mm:
            sheet.rule(film.x - 1.5, top, film.x + film.width + 1.0, top, 0.3, INK)
        first, last = max(strip.from_mm, stretch.from_mm), min(strip.to_mm, stretch.to_mm)
        height = (last - first) * stretch.scale
        if strip.pieces and height > 2.0:
            middle = stretch.top + ((first + last) / 2 - stretch.from_mm) * stretch.scale
            label = Box(film.x - 6.0, middle - 1.6, 5.0, 3.2)
            sheet.write_in(label, str(strip.number), Setting(7, 4, BOLD, 1), INK, "right", "middle")
    for at_mm, y in ((stretch.from_mm, film.y), (stretch.to_mm, film.y + film.height)):
        if math.isclose(at_mm, stretch.to_mm):
            y -= 2.4
        label = Box(film.x - _GUTTER + 0.3, y, 7.0, 2.4)
        sheet.write_in(label, wording.metres_short(at_mm), Setting(5, 4, NARROW, 1), GREY, "left", "middle")
    sheet.rule(film.x - 1.5, film.y, film.x, film.y, 0.2, FAINT)
