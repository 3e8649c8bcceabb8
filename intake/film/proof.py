"""The proof of a run's file by reading it back: places, counts, gaps, colours, codes. Runs in the sandbox."""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from config.settings import FileLimits
from intake.film.proof_plan import Box4, PlannedPiece, ProofPlan
from intake.measure.film_ink import Difference, Lies, Window, difference, expected, least_gap, support
from intake.measure.shrunk import premultiplied
from intake.reading import open_artwork
from intake.reading.film_pages import FilmPages, View
from intake.reading.pdf import OpenPdf
from intake.reading.pdf_render import Placed
from intake.reading.qr import read_qr
from tickets import wording_film_file as wording
from tickets.paper.film.art import BrokenArt, read_list, read_small

PX_A_MM = 72 / 25.4  # the pages are looked at with one px a point
FAR_MM = 0.1  # a piece further from its plan is wrong
_SIZE_MM = 0.05
_SEEN = 8  # of 255: less ink is a rounding
_AROUND_PX = 3
_GAP_PX = 2.5  # PDFium draws an image over all px that it touches: up to one more on either side
_BAND_PX = 2048
_CODE_PX = 24.0  # px a mm at which codes are looked at: some 600 an inch


@dataclass(frozen=True, slots=True)
class _Tolerance:
    """How far what is drawn may differ: share of the ink, mm, and steps of 255 (see `Difference`)."""

    ink: float
    moved_mm: float
    mean: float
    colour: float
    rim: float


# PDFium rounds down, by up to 1.2 steps over a photograph. Images among lines may come out a pixel wider
# than when the page is drawn alone.
_OF_PIXELS = _Tolerance(ink=0.01, moved_mm=0.1, mean=2.0, colour=6.0, rim=20.0)
# The edges of its blocks may count to either px: what they look like is told by the means (0.3 of 255 seen).
_OF_BLOCKS = _Tolerance(ink=0.02, moved_mm=0.2, mean=2.0, colour=128.0, rim=128.0)
_OF_LINES = _Tolerance(ink=0.03, moved_mm=0.2, mean=2.0, colour=12.0, rim=48.0)


@dataclass(frozen=True, slots=True)
class ProofFault:
    """One thing that is wrong: a sentence, the page from 1, and where on it."""

    says: str
    page: int
    box: Box4 = (0.0, 0.0, 0.0, 0.0)


def prove(plan: ProofPlan, limits: FileLimits, only: int | None = None) -> list[ProofFault]:
    """Everything that is wrong with a run's file; empty: it is as planned. Raises OSError, MemoryError.

    `only`: one page, counted from 0.
    """
    try:
        with FilmPages(Path(plan.pdf)) as pages:
            if len(pages) != len(plan.pages):
                return [ProofFault(wording.wrong_pages(len(pages), len(plan.pages)), 1)]
            return [
                fault
                for at in (range(len(plan.pages)) if only is None else [only])
                for fault in _PageProof(pages, at, plan, limits).faults()
            ]
    except ValueError:
        return [ProofFault(wording.NO_PDF, 1)]


class _PageProof:
    """One page: first what is placed where, then what it looks like."""

    def __init__(self, pages: FilmPages, at: int, plan: ProofPlan, limits: FileLimits) -> None:
        self._pages, self._at, self._page, self._plan = pages, at, plan.pages[at], plan
        self._limits = limits

    def faults(self) -> list[ProofFault]:
        """All faults; a page that is laid wrong is not looked at any closer."""
        found = [*self._size(), *self._too_near(), *self._places()]
        return found or [*self._look(), *self._codes()]

    def _fault(self, says: str, box: Box4 = (0.0, 0.0, 0.0, 0.0)) -> ProofFault:
        return ProofFault(says, self._at + 1, box)

    def _size(self) -> Iterator[ProofFault]:
        wide, long = self._pages.size_mm(self._at)
        if max(abs(wide - self._page.width_mm), abs(long - self._page.length_mm)) > _SIZE_MM:
            yield self._fault(wording.wrong_size(wide, long, self._page.width_mm, self._page.length_mm))

    def _too_near(self) -> Iterator[ProofFault]:
        """Overlaps and gaps of the plan's boxes, by another geometry (shapely)."""
        import shapely

        if not self._plan.boxes_apart:
            return
        boxes = np.array([piece.box for piece in self._page.pieces], np.float64).reshape(-1, 4)
        pieces = shapely.box(boxes[:, 0], boxes[:, 1], boxes[:, 0] + boxes[:, 2], boxes[:, 1] + boxes[:, 3])
        reach = max(self._plan.gap_mm - 1e-3, 0.0)
        pairs = shapely.STRtree(pieces).query(pieces, predicate="dwithin", distance=reach)
        for one, other in pairs.T[pairs[0] < pairs[1]]:
            apart = float(shapely.distance(pieces[one], pieces[other]))
            overlap = float(shapely.area(shapely.intersection(pieces[one], pieces[other])))
            if overlap > 1e-3 or apart < reach:
                first, second = self._page.pieces[one], self._page.pieces[other]
                yield self._fault(wording.too_near(_named(first), _named(second), apart, self._plan.gap_mm))

    def _places(self) -> Iterator[ProofFault]:
        """Each planned piece has an artwork on the four corners of its box, and none is left over."""
        found = np.array([self._corners(matrix) for matrix in self._pages.placed(self._at)], np.float64)
        found = found.reshape(-1, 8)
        is_taken = np.zeros(len(found), bool)
        for piece in self._page.pieces:
            off = np.abs(found - _planned_corners(piece)).max(axis=1) if len(found) else np.empty(0)
            off[is_taken] = np.inf
            nearest = int(off.argmin()) if len(off) else -1
            if nearest < 0 or off[nearest] > FAR_MM:
                least = float(off[nearest]) if nearest >= 0 else math.inf
                yield self._fault(wording.not_at_its_place(_named(piece), least), piece.box)
            else:
                is_taken[nearest] = True
        if len(found) != len(self._page.pieces):
            yield self._fault(wording.wrong_count(len(found), len(self._page.pieces)))

    def _corners(self, matrix: Sequence[float]) -> list[float]:
        """Where the corners of an artwork come to lie, in mm from the page's top left, unmirrored."""
        a, b, c, d, e, f = matrix
        corners = []
        for u, v in ((0, 1), (1, 1), (1, 0), (0, 0)):
            x, y = (a * u + c * v + e) / PX_A_MM, (b * u + d * v + f) / PX_A_MM
            corners += [self._page.width_mm - x if self._plan.is_mirrored else x, self._page.length_mm - y]
        return corners

    def _look(self) -> Iterator[ProofFault]:
        """What is drawn: each piece in its own ink, then what belongs to none, then how near they come."""
        drawn = self._drawn()
        owner = np.zeros(drawn.shape[:2], np.uint16)
        others = self._others((drawn.shape[0], drawn.shape[1]))
        allowed = others.copy()
        reach_px = max(1, min(_AROUND_PX, int(self._plan.gap_mm * PX_A_MM / 2) - 1))
        numbered = sorted(enumerate(self._page.pieces, start=1), key=lambda pair: pair[1].art)
        for number, piece in numbered:
            says = ""
            for wanted, most in _expected(piece, self._limits):
                window = wanted.cut(drawn.shape[1], drawn.shape[0])
                part = _part(window)
                own = support(window, reach_px) & ~others[part]
                told = _told(difference(window, own, drawn[part]), most)
                says = says or told
                if not told:
                    says = ""
                    break
            if says:
                yield self._fault(wording.drawn_wrong(_named(piece), says), piece.box)
            owner[part][own & (drawn[part][..., 3] > _SEEN)] = number
            allowed[part] |= own
        yield from self._strangers(drawn, allowed)
        yield from self._gaps(owner)

    def _drawn(self) -> NDArray[np.uint8]:
        """The page, premultiplied; band by band, for PDFium keeps what it has unpacked for one."""
        wide, long = (math.ceil(v * PX_A_MM) for v in (self._page.width_mm, self._page.length_mm))
        drawn = np.empty((long, wide, 4), np.uint8)
        for top in range(0, long, _BAND_PX):
            view = View(0, top, wide, min(_BAND_PX, long - top))
            band = self._pages.picture(self._at, view, is_mirrored=self._plan.is_mirrored)
            drawn[top : top + _BAND_PX] = premultiplied(band)
        return drawn

    def _others(self, shape: tuple[int, int]) -> NDArray[np.bool_]:
        """Where codes, marks and labels stand."""
        others = np.zeros(shape, bool)
        for x, y, wide, long in self._page.others:
            left, top = math.floor(x * PX_A_MM), math.floor(y * PX_A_MM)
            right, bottom = math.ceil((x + wide) * PX_A_MM), math.ceil((y + long) * PX_A_MM)
            others[max(0, top) : bottom, max(0, left) : right] = True
        return others

    def _strangers(self, drawn: NDArray[np.uint8], allowed: NDArray[np.bool_]) -> Iterator[ProofFault]:
        """Ink that belongs to no piece, code, mark or label."""
        stray = (drawn[..., 3] > _SEEN) & ~allowed
        if stray.any():
            down, across = np.unravel_index(int(stray.argmax()), stray.shape)
            box = (float(across) / PX_A_MM, float(down) / PX_A_MM, 1.0, 1.0)
            yield self._fault(wording.stray_ink(box[0], box[1]), box)

    def _gaps(self, owner: NDArray[np.uint16]) -> Iterator[ProofFault]:
        wanted_px = self._plan.gap_mm * PX_A_MM - _GAP_PX
        lap = int(self._plan.gap_mm * PX_A_MM) + 2
        for top in range(0, len(owner), _BAND_PX):
            band = owner[max(0, top - lap) : top + _BAND_PX + lap]
            gap, one, other = least_gap(band, wanted_px)
            if gap < wanted_px:
                first, second = self._page.pieces[one - 1], self._page.pieces[other - 1]
                apart = gap / PX_A_MM
                yield self._fault(wording.too_near(_named(first), _named(second), apart, self._plan.gap_mm))

    def _codes(self) -> Iterator[ProofFault]:
        for x, y, wide, long in self._page.qr:
            per_px = _CODE_PX / PX_A_MM
            left, top, across, down = (int(v * _CODE_PX) for v in (x, y, wide, long))
            view = View(left, top, across, down, per_px)
            straight = self._pages.picture(self._at, view, is_mirrored=self._plan.is_mirrored)
            # Film is clear: what is not printed is as dark as the table, so that only printed white is light.
            grey = premultiplied(straight)[..., 1]
            said = read_qr(grey)
            if said not in self._plan.qr_texts:
                yield self._fault(wording.qr_not_read(said), (x, y, wide, long))


def _expected(piece: PlannedPiece, limits: FileLimits) -> Iterator[tuple[Window, _Tolerance]]:
    """What a piece may look like. Lines are drawn anew, from the original."""
    picture, way = _small(piece.art)
    x, y, wide, long = (v * PX_A_MM for v in piece.box)
    if way != "vector":
        for window in expected(picture, (x, y, wide, long), Lies(piece.turned, piece.mirrored)):
            yield window, _OF_BLOCKS if window.in_blocks else _OF_PIXELS
        return
    left, top = math.floor(x) - _AROUND_PX, math.floor(y) - _AROUND_PX
    size = (math.ceil(x + wide) + _AROUND_PX - left, math.ceil(y + long) + _AROUND_PX - top)
    opened = open_artwork(Path(piece.original), piece.page, limits)
    try:
        assert isinstance(opened, OpenPdf)  # nothing else is encoded as lines
        placed = Placed(x - left, y - top, wide, long, piece.turned, piece.mirrored)
        yield Window(left, top, premultiplied(opened.drawn_through(placed, size))), _OF_LINES
    finally:
        opened.close()


@lru_cache(maxsize=2)  # pieces are looked at artwork by artwork
def _small(path: str) -> tuple[NDArray[np.uint8], str]:
    """The small picture of an artwork, and how it was encoded. Raises BrokenArt, OSError."""
    with Path(path).open("rb") as source:
        art = read_list(source)
        if not art.small.length:
            return np.empty((0, 0, 4), np.uint8), art.way
        try:
            pixels = np.frombuffer(zlib.decompress(read_small(source, art)), np.uint8)
            return pixels.reshape(art.small.height, art.small.width, 4), art.way
        except (ValueError, zlib.error) as error:
            raise BrokenArt("its small picture cannot be read") from error


def _planned_corners(piece: PlannedPiece) -> list[float]:
    """Where the corners of the upright art belong: its top left, top right, bottom right, bottom left."""
    x, y, wide, long = piece.box
    right, bottom = x + wide, y + long
    corners = [(x, y), (right, y), (right, bottom), (x, bottom)]
    if piece.turned:  # clockwise: the art's top left lies at the top right
        corners = [*corners[1:], corners[0]]
    if piece.mirrored:
        corners = [corners[1], corners[0], corners[3], corners[2]]
    return [value for corner in corners for value in corner]


def _part(window: Window) -> tuple[slice, slice]:
    long, wide = window.picture.shape[:2]
    return slice(window.top, window.top + long), slice(window.left, window.left + wide)


def _told(found: Difference, most: _Tolerance) -> str:
    """What is wrong with how a piece was drawn; "" when nothing is."""
    moved_mm = math.hypot(found.across_px, found.down_px) / PX_A_MM
    if abs(found.ink - 1) > most.ink:
        return wording.ink_differs(found.ink)
    if moved_mm > most.moved_mm:
        return wording.ink_moved(moved_mm)
    if found.mean > most.mean or found.colour > most.colour or found.rim > most.rim:
        return wording.colour_differs(max(found.mean, found.colour, found.rim))
    return ""


def _named(piece: PlannedPiece) -> str:
    return wording.piece(piece.number, piece.code)
