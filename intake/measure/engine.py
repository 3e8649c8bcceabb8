"""One picture's coverage measured window by window, and what the windows add up to."""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace

import cv2
import numpy as np

from intake.facts import Alpha, Ask, Background, InkMeasures, Place, Spot
from intake.measure.blocks import Block, blocks_of
from intake.measure.bytewise import Bytes, at_least, both, count, inverse, total, unequal
from intake.measure.crisp import without_steps
from intake.measure.enclosed import GroundParts
from intake.measure.pieces import HOLE, ISLAND, Piece, pieces_of
from intake.measure.regions import Region
from intake.measure.scale import TILE, Scale, Side
from intake.measure.scratch import Scratch
from intake.measure.screens import Screens
from intake.measure.search import thin_places
from intake.measure.seeds import Tiles
from intake.measure.shortlist import Shortlist
from intake.measure.softness import semi_mask, soft_mask
from intake.measure.spots import Gathered, box_place, place_of, ranked, spots_of, tapers_of
from intake.measure.tracks import Leads
from intake.measure.white import lost_mask, white_area_px
from intake.measure.windows import Window, rows_a_window, windows

SHORTLIST = 320  # fields with the thinnest lines, or gaps, that are followed up
LOSSY_PIECE_PX = 2.4  # smaller pieces and holes in a lossy picture are what compression scatters
CRISP_SHARE = 0.05  # fewer semi-covered rim pixels than this share of the edges: drawn without anti-aliasing


@dataclass(slots=True)
class Totals:
    """Sums over the windows seen so far, in pixels of the whole picture."""

    lines: Gathered
    gaps: Gathered
    soft_places: Region
    lost_places: Region
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
    screens: Screens = field(default_factory=Screens)
    scratch: Scratch = field(default_factory=Scratch)


def measure_cover(
    bands: Iterable[Bytes], width: int, height: int, scale: Scale, parts: GroundParts | None = None
) -> Totals:
    """Measure coverage (0–255) handed in as bands of rows.

    With `parts`, clear parts that ink encloses are told apart, and gaps in them are left out.
    """
    lines, gaps = (Gathered(scale.cell_px, Shortlist(SHORTLIST)) for _ in range(2))
    totals = Totals(lines, gaps, Region(width, height), Region(width, height))
    pad = scale.halo_px
    with ThreadPoolExecutor(1, "clear side") as beside:
        for window in windows(bands, width, pad, rows_a_window(width, pad)):
            if parts is not None:
                parts.add(window)
            _measure_window(window, scale, totals, parts, beside)
    if parts is not None:
        totals.gaps.leave_out(parts.enclosed())
        totals.holes.clear()
    return totals


def _measure_window(
    window: Window, scale: Scale, totals: Totals, parts: GroundParts | None, beside: ThreadPoolExecutor
) -> None:
    """Ink and clear are measured side by side: NumPy and OpenCV let go of the interpreter."""
    _sum_up(window, totals)
    if not count(window.own):
        return
    blocks = list(blocks_of(window, scale.margin_px))
    even = without_steps(window, blocks, totals.scratch)
    gaps = beside.submit(_measure_clear, even, blocks, scale, totals, parts)
    _measure_ink(window, even, blocks, scale, totals)
    gaps.result()


def _measure_ink(window: Window, even: Window, blocks: list[Block], scale: Scale, totals: Totals) -> None:
    cover = window.cover
    for block in blocks:
        _look_at_rims(block.around(cover, scale.margin_px), block, window, scale, totals)
    leads, tiles = _find(even.cover, even, blocks, scale.ink, scale, totals.lines)
    totals.screens.tiles += [(int(r) + window.top // TILE, int(c)) for r, c in np.argwhere(tiles.dense)]
    mask = ISLAND.mask_of(even, blocks, totals.scratch.array("pieces", cover.shape))
    pieces = pieces_of(even, mask, scale.island_px, ISLAND, tiles.gone, 2.0 * scale.choke_px)
    totals.islands += [_moved(p, -window.pad, window.top - window.pad) for p in pieces.below]
    totals.island_count += pieces.number
    _choke(window, blocks, lost_mask(even, blocks, (leads, tiles), pieces.wholes, scale), scale, totals)


def _measure_clear(
    window: Window, blocks: list[Block], scale: Scale, totals: Totals, parts: GroundParts | None
) -> None:
    clear = inverse(window.cover, totals.scratch.array("clear", window.cover.shape))
    _, tiles = _find(clear, window, blocks, scale.clear, scale, totals.gaps, parts)
    inverted = replace(window, cover=clear)
    mask = HOLE.mask_of(inverted, blocks, totals.scratch.array("holes", clear.shape))
    holes = pieces_of(inverted, mask, scale.clear.limit_px, HOLE, tiles.gone)
    totals.holes += [_moved(p, -window.pad, window.top - window.pad) for p in holes.below]


def _find(
    cover: Bytes,
    window: Window,
    blocks: list[Block],
    side: Side,
    scale: Scale,
    into: Gathered,
    parts: GroundParts | None = None,
) -> tuple[Leads, Tiles]:
    found, leads, tiles = thin_places(cover, window, blocks, side, scale, into.shortlist)
    part = parts.part_at(found.x - window.pad, found.y - window.pad) if parts is not None else None
    into.add(found, -window.pad, window.top - window.pad, part)
    return leads, tiles


def _choke(window: Window, blocks: list[Block], lost: Bytes | None, scale: Scale, totals: Totals) -> None:
    """Sum up the white that is left, and the ink that loses all of its white."""
    flat = totals.scratch.array("own", window.own.shape)
    solid = count(at_least(window.own, 128, flat))
    margin = scale.margin_px
    for block in blocks:
        mask = at_least(block.around(window.cover, margin), 128)
        gone = None if lost is None else block.around(lost, margin)
        solid -= count(block.inside(mask, margin))
        totals.white += white_area_px(mask, gone, scale.choke_px, margin)
    totals.white += solid
    if lost is not None:
        own = window.own_part(lost)
        totals.lost += total(both(window.own, own, flat)) / 255.0
        totals.lost_places.mark(own, 0, window.top)


def _moved(piece: Piece, dx: float, dy: float) -> Piece:
    return Piece(
        piece.diameter, piece.area, piece.left + dx, piece.top + dy, piece.right + dx, piece.bottom + dy
    )


def _sum_up(window: Window, totals: Totals) -> None:
    own = window.own
    totals.ink += total(own) / 255.0
    any_ink = at_least(own, 8, totals.scratch.array("own", own.shape))
    inked = count(any_ink)
    totals.inked_pixels += inked
    totals.clear += own.size - inked
    if inked:
        x, y, w, h = cv2.boundingRect(any_ink)
        _widen(totals.box, (x, y + window.top, x + w, y + h + window.top))


def _look_at_rims(near: Bytes, block: Block, window: Window, scale: Scale, totals: Totals) -> None:
    """Count edges, semi-covered and truly soft pixels of a block; `near` has the block's margin."""
    margin = scale.margin_px
    semi = semi_mask(near)
    totals.semi += count(block.inside(semi, margin))
    mask = at_least(block.inside(near, margin), 128)
    totals.edges += count(unequal(mask[:, 1:], mask[:, :-1]))
    soft = soft_mask(near, semi)
    if soft is not None:
        part = np.ascontiguousarray(block.inside(soft, margin))
        totals.soft += count(part)
        totals.soft_places.mark(part, block.left - window.pad, block.top - window.pad + window.top)


def _widen(box: list[int], other: tuple[int, int, int, int]) -> None:
    if not box:
        box[:] = other
        return
    box[:2] = [min(a, b) for a, b in zip(box[:2], other[:2], strict=True)]
    box[2:] = [max(a, b) for a, b in zip(box[2:], other[2:], strict=True)]


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known of the picture besides its coverage."""

    width: int
    height: int
    has_alpha: bool
    lossy: bool
    background: Background | None = None
    measured_against: str = "alpha"
    notes: tuple[str, ...] = ()
    lossy_mm: float = 0.07  # what lossy compression may have moved edges by


def measures_of(totals: Totals, scale: Scale, ask: Ask, about: Circumstances) -> InkMeasures:
    """The totals in millimetres."""
    mm = scale.mm_per_px
    uncertainty = uncertainty_mm(totals, mm, about.lossy_mm if about.lossy else 0.0)
    if about.lossy:
        _leave_out_scatter(totals)
    lines = spots_of(totals.lines, True, mm, uncertainty)
    gaps = spots_of(totals.gaps, False, mm, uncertainty)
    gaps = sorted(gaps + _piece_spots(totals.holes, "hole", mm, uncertainty), key=ranked)
    islands = sorted(_piece_spots(totals.islands, "island", mm, uncertainty), key=ranked)
    at_most = ask.places_at_most
    area = mm * mm
    return InkMeasures(
        alpha=_alpha_kind(totals, about),
        soft_share=totals.soft / totals.inked_pixels if totals.inked_pixels else 0.0,
        soft_places=_places(totals.soft_places.boxes(), mm, at_most),
        ink_box=box_place(totals.box, mm) if totals.box else None,
        ink_area_mm2=totals.ink * area,
        white_area_mm2=totals.white * area,
        lost_white_area_mm2=totals.lost * area,
        lost_white_places=_places(totals.lost_places.boxes(), mm, at_most),
        thinnest_line=lines[0] if lines else None,
        thin_lines=tuple(s for s in lines if s.value_mm < ask.line_mm)[:at_most],
        thinnest_gap=gaps[0] if gaps else None,
        thin_gaps=tuple(s for s in gaps if s.value_mm < ask.gap_mm)[:at_most],
        islands=tuple(islands[:at_most]),
        island_count=totals.island_count,
        tapers=tuple(tapers_of(totals.lines, mm, uncertainty)[:at_most]),
        screened=totals.screens.is_screened(about.width, about.height),
        screened_places=_places(totals.screens.boxes(), mm, at_most)
        if totals.screens.is_screened(about.width, about.height)
        else (),
        background=about.background,
        measured_against=about.measured_against,
        notes=about.notes,
    )


def _leave_out_scatter(totals: Totals) -> None:
    found = len(totals.islands)
    for pieces in (totals.islands, totals.holes):
        pieces[:] = [p for p in pieces if p.diameter >= LOSSY_PIECE_PX]
    totals.island_count = max(totals.island_count - (found - len(totals.islands)), len(totals.islands))


def uncertainty_mm(totals: Totals, mm: float, lossy_mm: float) -> float:
    """How far a width may be off: a third of a pixel, without anti-aliasing the file's own limit."""
    crisp = totals.semi < CRISP_SHARE * totals.edges
    pixels = 0.85 if crisp else 0.30
    return pixels * mm + lossy_mm


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
