"""One picture's coverage measured window by window, and what the windows add up to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import cv2

from intake.facts import Alpha, Ask, Background, InkMeasures, Place, Spot
from intake.measure.bytewise import Bytes, at_least, both, count, highest, inverse, shrunk, total
from intake.measure.enclosed import GroundParts
from intake.measure.fields import seeds_of
from intake.measure.pieces import Piece, pieces_of
from intake.measure.runs import classify
from intake.measure.scale import Scale, Side
from intake.measure.softness import semi_mask, soft_mask
from intake.measure.spots import Gathered, box_place, place_of, spots_of, tapers_of
from intake.measure.tracks import Tracks, track
from intake.measure.white import lost_mask, white_area_px
from intake.measure.windows import Window, rows_a_window, windows

CRISP_SHARE = 0.05  # fewer semi-covered rim pixels than this share of the edges: drawn without anti-aliasing


@dataclass(slots=True)
class Totals:
    """Sums over the windows seen so far, in pixels of the whole picture."""

    lines: Gathered
    gaps: Gathered
    ink: float = 0.0
    inked_pixels: int = 0
    white: float = 0.0
    lost: float = 0.0
    soft: int = 0
    semi: int = 0
    edges: int = 0
    clear: int = 0
    box: list[int] = field(default_factory=list)  # left, top, right, bottom of the ink
    islands: list[Piece] = field(default_factory=list)
    holes: list[Piece] = field(default_factory=list)
    island_count: int = 0
    soft_boxes: list[tuple[int, int, int, int]] = field(default_factory=list)
    lost_boxes: list[tuple[int, int, int, int]] = field(default_factory=list)


def measure_cover(
    bands: Iterable[Bytes], width: int, scale: Scale, parts: GroundParts | None = None
) -> Totals:
    """Measure coverage (0–255) handed in as bands of rows.

    With `parts`, clear parts that ink encloses are told apart, and gaps in them are left out.
    """
    totals = Totals(Gathered(scale.cell_px), Gathered(scale.cell_px))
    pad = scale.halo_px
    for window in windows(bands, width, pad, rows_a_window(width, pad)):
        if parts is not None:
            parts.add(window)
        _measure_window(window, scale, totals, parts)
    if parts is not None:
        totals.gaps.leave_out(parts.enclosed())
        totals.holes.clear()
    return totals


def _measure_window(window: Window, scale: Scale, totals: Totals, parts: GroundParts | None) -> None:
    cover = window.cover
    _sum_up(window, totals)
    if not count(window.own):
        return
    tracks = _find(cover, window, scale.ink, scale, totals.lines)
    lost = lost_mask(cover, tracks, scale.choke_px)
    if lost is not None:
        own = window.own_part(lost)
        totals.lost += total(both(window.own, own)) / 255.0
        totals.lost_boxes += _boxes(own, window.top)
    totals.white += white_area_px(window, scale.choke_px, lost)
    dx, dy = -window.pad, window.top - window.pad
    islands, number = pieces_of(cover, window, scale.island_px)
    totals.islands += [_moved(p, dx, dy) for p in islands]
    totals.island_count += number
    clear = inverse(cover)
    _find(clear, window, scale.clear, scale, totals.gaps, parts)
    holes, _ = pieces_of(clear, window, scale.clear.limit_px)
    totals.holes += [_moved(p, dx, dy) for p in holes]


def _find(
    cover: Bytes, window: Window, side: Side, scale: Scale, into: Gathered, parts: GroundParts | None = None
) -> Tracks:
    tracks = track(cover, seeds_of(cover, window, side, scale), side)
    found = classify(cover, tracks, side, scale.cell_px)
    part = parts.part_at(found.x - window.pad, found.y - window.pad) if parts is not None else None
    into.add(found, -window.pad, window.top - window.pad, part)
    return tracks


def _moved(piece: Piece, dx: float, dy: float) -> Piece:
    return Piece(
        piece.diameter, piece.area, piece.left + dx, piece.top + dy, piece.right + dx, piece.bottom + dy
    )


def _sum_up(window: Window, totals: Totals) -> None:
    own = window.own
    totals.ink += total(own) / 255.0
    any_ink = at_least(own, 8)
    inked = count(any_ink)
    totals.inked_pixels += inked
    totals.clear += own.size - inked
    if inked:
        x, y, w, h = cv2.boundingRect(any_ink)
        _widen(totals.box, (x, y + window.top, x + w, y + h + window.top))
    semi = semi_mask(window.cover)
    totals.semi += count(window.own_part(semi))
    mask = at_least(own, 128)
    totals.edges += count(highest(mask)) - count(mask)
    soft = soft_mask(window.cover, semi)
    if soft is not None:
        part = window.own_part(soft)
        totals.soft += count(part)
        totals.soft_boxes += _boxes(part, window.top)


def _widen(box: list[int], other: tuple[int, int, int, int]) -> None:
    if not box:
        box[:] = other
        return
    box[:2] = [min(a, b) for a, b in zip(box[:2], other[:2], strict=True)]
    box[2:] = [max(a, b) for a, b in zip(box[2:], other[2:], strict=True)]


def _boxes(mask: Bytes, top: int) -> list[tuple[int, int, int, int]]:
    """Boxes of the mask's larger blobs, seen at an eighth of the size."""
    if not count(mask):
        return []
    small = shrunk(mask, -(-mask.shape[1] // 8), -(-mask.shape[0] // 8))
    number, _, stats, _ = cv2.connectedComponentsWithStats(at_least(small, 1))
    return [
        (int(x) * 8, int(y) * 8 + top, int(x + w) * 8, int(y + h) * 8 + top)
        for x, y, w, h, _ in stats[1:number]
    ]


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known of the picture besides its coverage."""

    has_alpha: bool
    lossy: bool
    background: Background | None = None
    measured_against: str = "alpha"
    notes: tuple[str, ...] = ()


def measures_of(totals: Totals, scale: Scale, ask: Ask, about: Circumstances) -> InkMeasures:
    """The totals in millimetres."""
    mm = scale.mm_per_px
    uncertainty = uncertainty_mm(totals, mm, about.lossy)
    lines = spots_of(totals.lines, True, mm, uncertainty)
    gaps = spots_of(totals.gaps, False, mm, uncertainty)
    gaps = sorted(gaps + _piece_spots(totals.holes, "hole", mm, uncertainty), key=lambda s: s.value_mm)
    islands = sorted(_piece_spots(totals.islands, "island", mm, uncertainty), key=lambda s: s.value_mm)
    at_most = ask.places_at_most
    area = mm * mm
    return InkMeasures(
        alpha=_alpha_kind(totals, about),
        soft_share=totals.soft / totals.inked_pixels if totals.inked_pixels else 0.0,
        soft_places=_places(totals.soft_boxes, mm, at_most),
        ink_box=box_place(totals.box, mm) if totals.box else None,
        ink_area_mm2=totals.ink * area,
        white_area_mm2=totals.white * area,
        lost_white_area_mm2=totals.lost * area,
        lost_white_places=_places(totals.lost_boxes, mm, at_most),
        thinnest_line=lines[0] if lines else None,
        thin_lines=tuple(s for s in lines if s.value_mm < ask.line_mm)[:at_most],
        thinnest_gap=gaps[0] if gaps else None,
        thin_gaps=tuple(s for s in gaps if s.value_mm < ask.gap_mm)[:at_most],
        islands=tuple(islands[:at_most]),
        island_count=totals.island_count,
        tapers=tuple(tapers_of(totals.lines, mm, uncertainty)[:at_most]),
        background=about.background,
        measured_against=about.measured_against,
        notes=about.notes,
    )


def uncertainty_mm(totals: Totals, mm: float, lossy: bool) -> float:
    """How far a width may be off: a third of a pixel, without anti-aliasing the file's own limit."""
    crisp = totals.semi < CRISP_SHARE * totals.edges
    pixels = 0.85 if crisp else 0.30
    return pixels * mm + (0.05 if lossy else 0.0)


def _alpha_kind(totals: Totals, about: Circumstances) -> Alpha:
    if not about.has_alpha:
        return Alpha.NONE
    if totals.soft:
        return Alpha.SOFT
    return Alpha.HARD if totals.clear or totals.semi else Alpha.OPAQUE


def _places(boxes: list[tuple[int, int, int, int]], mm: float, at_most: int) -> tuple[Place, ...]:
    """The largest boxes as places."""
    largest = sorted(boxes, key=lambda b: (b[0] - b[2]) * (b[3] - b[1]))[:at_most]
    return tuple(box_place(box, mm) for box in largest)


def _piece_spots(pieces: list[Piece], kind: str, mm: float, uncertainty: float) -> list[Spot]:
    return [
        Spot(
            value_mm=p.diameter * mm,
            uncertainty_mm=uncertainty,
            place=place_of(p.left, p.top, p.right, p.bottom, mm),
            length_mm=max(p.right - p.left, p.bottom - p.top) * mm,
            kind=kind,
        )
        for p in pieces
    ]
