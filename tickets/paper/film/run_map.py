"""The map of a run: the film in stretches side by side, each piece with the number of its ticket."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tickets import wording_film_file as wording
from tickets.film.model import Ring, RunPiece, StoredRun
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
    """What is drawn: the run, the strips that it is cut into, and its tickets with their numbers.

    `outlines`: of pieces as they lie on the film, by number, where they lock into each other.
    """

    run: StoredRun
    strips: tuple[Strip, ...]
    tickets: tuple[CutTicket, ...]
    outlines: Mapping[int, tuple[Ring, ...]] = field(default_factory=dict)


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

    def forms(self, rings: Sequence[Ring], width_mm: float) -> list[_Form]:
        """Outlines on paper, as much of them as lies on this stretch."""
        if not rings:
            return []
        import shapely

        here = shapely.box(-1.0, self.from_mm, width_mm + 1.0, self.to_mm)
        whole: Any = shapely.union_all([shapely.make_valid(shapely.Polygon(ring)) for ring in rings])
        parts = shapely.get_parts(shapely.intersection(whole, here))
        return [self._form(part) for part in parts if part.geom_type == "Polygon" and part.area > 1.0]

    def _form(self, part: Any) -> _Form:
        from shapely import maximum_inscribed_circle

        inside = maximum_inscribed_circle(part, tolerance=2.0)
        corners = tuple(self._on_paper(x, y) for x, y in part.exterior.coords[:-1])
        return _Form(corners, self._on_paper(*inside.coords[0]), inside.length * self.scale)

    def _on_paper(self, x: float, y: float) -> tuple[float, float]:
        return self.left + x * self.scale, self.top + (y - self.from_mm) * self.scale


@dataclass(frozen=True, slots=True)
class _Form:
    """One closed form on paper, the middle of the largest circle within it, and its radius in mm."""

    corners: tuple[tuple[float, float], ...]
    middle: tuple[float, float]
    radius: float


def draw_map(sheet: Sheet, box: Box, shown: MapBox) -> float:
    """Draw the run from its start at the top left, stretch by stretch to the right; returns its height."""
    highest = 0.0
    numbers = {ticket.code: ticket.number for ticket in shown.tickets}
    for stretch in _stretches(box, shown.run):
        height = (stretch.to_mm - stretch.from_mm) * stretch.scale
        film = Box(stretch.left, stretch.top, shown.run.width_mm * stretch.scale, height)
        sheet.fill(film, WHITE)
        for piece in shown.run.pieces:
            if piece.y_mm < stretch.to_mm and piece.y_mm + piece.height_mm > stretch.from_mm:
                forms = stretch.forms(shown.outlines.get(piece.number, ()), shown.run.width_mm)
                _draw_piece(sheet, stretch.box(piece), piece, numbers[piece.code], forms)
        _draw_strips(sheet, stretch, film, shown.strips)
        sheet.outline(film, 0.2, INK)
        highest = max(highest, height)
    return highest


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


def _draw_piece(sheet: Sheet, place: Box, piece: RunPiece, number: int, forms: Sequence[_Form] = ()) -> None:
    if forms:
        _draw_form(sheet, forms, piece, number)
        return
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


def _draw_form(sheet: Sheet, forms: Sequence[_Form], piece: RunPiece, number: int) -> None:
    """A piece by the outline of its ink, its number where there is most room."""
    for form in forms:
        sheet.area(form.corners, _GROUNDS[number % len(_GROUNDS)], 0.1, INK)
    largest = max(forms, key=lambda form: form.radius)
    x, y = largest.middle
    side = 1.4 * largest.radius
    place = Box(x - side / 2, y - side / 2, side, side)
    if piece.lost:
        sheet.rule(place.x, place.y, place.x + side, place.y + side, 0.25, INK)
        sheet.rule(place.x, place.y + side, place.x + side, place.y, 0.25, INK)
        return
    text = wording.on_map(number, is_spare=piece.spare)
    size = min(_SIZES[1], side * 2.2, side * 2.8 / max(2, len(text)))
    if size >= _SIZES[0]:
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
