"""Draws what lies where on a stretch of film: one map of a run, cut into strips that a page can show."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from markupsafe import Markup, escape

from tickets.film.model import Layout, Ring, Shape, StoredRun, Way
from tickets.film.outlined import Outlines, boxes_only, lying, outlines_on_film
from tickets.wording_film_pages import metres_mark

BY_OUTLINE = (Way.OUTLINES, Way.FINISHED)
STRIP_MM = 2500.0  # a longer run is drawn below itself; a shorter one at the same scale
LETTER_MM, LEAST_LETTER_MM = 60.0, 14.0
STEP_MM = 500.0  # between the marks of the scale


@dataclass(frozen=True, slots=True)
class MapPiece:
    """One piece as it lies, in mm from the run's left edge and its start; `letter`: its ticket's."""

    letter: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    spare: bool = False
    lost: bool = False
    rings: tuple[Ring, ...] = ()  # as they lie on the film, where its box would hide others


@dataclass(frozen=True, slots=True)
class MapTicket:
    """A ticket of a map's key: its letter, and how many of its pieces lie there."""

    letter: str
    code: str
    pieces: int
    spares: int
    lost: int


def letters(codes: Iterable[str]) -> dict[str, str]:
    """A letter for each ticket, in order: A to Z, then AA, AB and so on."""
    named = {}
    for at, code in enumerate(dict.fromkeys(codes)):
        first, second = divmod(at, len(ascii_uppercase))
        named[code] = (ascii_uppercase[first - 1] if first else "") + ascii_uppercase[second]
    return named


def map_of_run(run: StoredRun, outlines: Outlines = boxes_only) -> tuple[Markup, list[MapTicket]]:
    """The map of a stored run, and its key; by the outlines of its pieces where it was laid by these."""
    named = letters(p.code for p in run.pieces)
    rings = outlines_on_film(run.pieces, outlines) if run.way in BY_OUTLINE else {}
    pieces = [
        MapPiece(
            *(named[p.code], p.x_mm, p.y_mm, p.width_mm, p.height_mm, p.spare, p.lost),
            rings=rings.get(p.number, ()),
        )
        for p in run.pieces
    ]
    return draw_map(pieces, run.width_mm, run.length_mm, run.code), _key(named, pieces)


def map_of_layout(layout: Layout, shapes: Mapping[str, Shape]) -> tuple[Markup, list[MapTicket]]:
    """The map of a run that is only proposed, and its key."""
    named = letters(p.code for p in layout.placements)
    pieces = []
    for placed in layout.placements:
        sides = (shapes[placed.code].width_mm, shapes[placed.code].height_mm)
        wide, high = reversed(sides) if placed.turned else sides
        at = (placed.x_mm, placed.y_mm)
        rings = lying(shapes[placed.code], at, turned=placed.turned) if layout.way in BY_OUTLINE else ()
        pieces.append(MapPiece(named[placed.code], *at, wide, high, placed.spare, rings=rings))
    return draw_map(pieces, layout.width_mm, layout.length_mm, layout.run), _key(named, pieces)


def draw_map(pieces: Sequence[MapPiece], width_mm: float, length_mm: float, name: str) -> Markup:
    """The film lying on its side, its start at the left, as one SVG a strip.

    Each piece bears its ticket's letter; a spare is dashed, a lost one crossed out: told by form, not by
    colour.
    """
    strips = max(1, math.ceil(length_mm / STRIP_MM - 1e-9))
    drawn = []
    for at in range(strips):
        start = at * STRIP_MM
        there = [p for p in pieces if p.y_mm < start + STRIP_MM and p.y_mm + p.height_mm > start]
        drawn.append(_strip(there, start, (width_mm, length_mm), name))
    return Markup("").join(drawn)


def _strip(pieces: Sequence[MapPiece], start: float, film: tuple[float, float], name: str) -> Markup:
    width_mm, length_mm = film
    ends = min(start + STRIP_MM, length_mm)
    told = f"{name} {start / 1000:g}–{ends / 1000:.2f} m: {len(pieces)}".strip()
    parts = [
        f'<svg class="film-map" viewBox="{start - 4:g} -4 {STRIP_MM + 8:g} {width_mm + 48:g}" role="img" '
        f'aria-label="{escape(told)}" preserveAspectRatio="xMinYMid meet">',
        f'<rect class="sheet" x="{start:g}" y="0" width="{ends - start:g}" height="{width_mm:g}"/>',
    ]
    parts += [_piece(piece) for piece in pieces]
    parts += [
        f'<line class="scale" x1="{mark:g}" x2="{mark:g}" y1="{width_mm:g}" y2="{width_mm + 14:g}"/>'
        f'<text class="scale" x="{mark + 6:g}" y="{width_mm + 40:g}">{metres_mark(mark)}</text>'
        for mark in _marks(start, ends)
    ]
    return Markup("".join([*parts, "</svg>"]))


def _marks(start: float, ends: float) -> list[float]:
    first = math.ceil(start / STEP_MM)
    return [at * STEP_MM for at in range(first, math.floor((ends - 60) / STEP_MM) + 1)]


def _piece(piece: MapPiece) -> str:
    kind = " lost" if piece.lost else " spare" if piece.spare else ""
    x, y, along, high = piece.y_mm, piece.x_mm, piece.height_mm, piece.width_mm
    box = f'<rect class="piece{kind}" x="{x:g}" y="{y:g}" width="{along:g}" height="{high:g}"/>'
    if piece.rings:
        drawn = "".join("M" + "L".join(f"{b:.1f} {a:.1f}" for a, b in ring) + "Z" for ring in piece.rings)
        box = f'<path class="piece{kind}" d="{drawn}"/>'
    if piece.lost:
        box += (
            f'<path class="piece lost" d="M{x:g} {y:g}l{along:g} {high:g}m0 {-high:g}l{-along:g} {high:g}"/>'
        )
    size = min(LETTER_MM, high * 0.7, along / (0.8 * len(piece.letter)))
    if size < LEAST_LETTER_MM or piece.lost:
        return box
    middle = f'x="{x + along / 2:g}" y="{y + high / 2 + size * 0.36:g}"'
    return f'{box}<text {middle} font-size="{size:.0f}">{piece.letter}</text>'


def _key(named: Mapping[str, str], pieces: Sequence[MapPiece]) -> list[MapTicket]:
    key = []
    for code, letter in named.items():
        own = [p for p in pieces if p.letter == letter]
        spares = sum(p.spare and not p.lost for p in own)
        lost = sum(p.lost for p in own)
        key.append(MapTicket(letter, code, len(own) - sum(p.spare for p in own), spares, lost))
    return key
