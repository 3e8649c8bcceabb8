"""Separate small pieces of ink (islands) and small holes in it, each with its inscribed diameter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import pi, sqrt
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.blocks import Block, halo_of
from intake.measure.bytewise import Bytes, at_least, both, distance, highest, total
from intake.measure.chords import Floats, chords_at, on_grid
from intake.measure.fields import thin_mask
from intake.measure.scale import PIECE_ASPECT, TILE
from intake.measure.waists import BLUR_PX
from intake.measure.windows import Window

LOW = 40  # coverage from which a pixel belongs to a piece: a 0.1 mm dot at 150 ppi reaches little more
Box = tuple[int, int, int, int]
PARTED = 0.46  # at this share of its own coverage a piece must still be apart from others
PARTED_HOLE, TIP_PX = 0.72, 9.0  # holes, larger (px²) than the tip of one, are parted by faint hairlines
SPECK_PX, TRACE = 4.0, 12.0  # so small a piece (px²) must not even be joined by a trace of coverage
TINY_PX = 3.0  # below this the covered area says more than a chord
ANGLES = 16
MOST_CURVED_PX = 2.0  # what curves more is no rim but the end of the piece
MOST_A_WINDOW = 3000  # more are counted, not measured one by one


@dataclass(frozen=True, slots=True)
class Piece:
    """A small separate piece, px of the window: inscribed diameter, covered area, box."""

    diameter: float
    area: float
    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Kind:
    """Islands of ink or holes in it: coverage from which a pixel belongs, and its share of that beside it."""

    level: int
    share: float
    is_hole: bool

    def mask_of(self, window: Window, blocks: Sequence[Block], into: Bytes) -> Bytes:
        """255 where a pixel belongs to a piece or to something larger; `into`, of the same shape, is used."""
        cover = window.cover
        mask = at_least(cover, self.level, into)
        if self.is_hole:
            for block in (*blocks, *halo_of(window, 1)):
                thin = thin_mask(block.around(cover, 1), self.level, self.share)
                block.around(mask, 0)[:] = block.inside(thin, 1)
        return mask


ISLAND, HOLE = Kind(LOW, 0.5, False), Kind(64, 0.75, True)  # a smaller share of the clear is a leak


@dataclass(frozen=True, slots=True)
class Whole:
    """A small separate piece as a whole: its inscribed diameter (px) and, from (left, top) on, its mask."""

    diameter: float
    left: int
    top: int
    own: Bytes


@dataclass(frozen=True, slots=True)
class Pieces:
    """What a window holds of one kind.

    `below` are smaller than the limit and begin in the window's own rows, `number` is how many such there
    are, and `wholes` are all that reach into the window's own rows, whatever their diameter.
    """

    below: list[Piece]
    number: int
    wholes: list[Whole]


def pieces_of(
    window: Window, mask: Bytes, limit_px: float, kind: Kind, gone: NDArray[np.bool_], also_px: float = 0.0
) -> Pieces:
    """The small separate pieces: such as fit a box of PIECE_ASPECT limits, or of as many `also_px`.

    `mask` is the kind's, of the window; tiles that are gone are blotted out in it.
    """
    for row, column in np.argwhere(gone):
        top, left = window.pad + row * TILE, window.pad + column * TILE
        mask[top : top + TILE, left : left + TILE] = 0
    contours, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    if not contours:
        return Pieces([], 0, [])
    widest = max(limit_px, also_px)
    largest, least_y, most_y = PIECE_ASPECT * widest + 2, window.pad, window.pad + window.bottom - window.top
    small: list[tuple[NDArray[Any], Box]] = []
    for contour, parent in zip(contours, tree[0][:, 3], strict=True):
        if parent == -1 and len(contour) < 4 * largest:
            x, y, w, h = (int(v) for v in cv2.boundingRect(contour))
            reaches = y < most_y and (y + h > least_y if also_px else y >= least_y)
            compact = not kind.is_hole or min(w, h) <= 1.5 * widest + 3
            if reaches and compact and max(w, h) <= largest and not _is_cut((x, y, w, h), gone, window):
                small.append((np.asarray(contour), (x, y, w, h)))
    below: list[Piece] = []
    wholes: list[Whole] = []
    for cut, diameter in _measured(window.cover, small[:MOST_A_WINDOW], widest, kind):
        x0, y0, w, h = cut.box
        wholes.append(Whole(diameter, *cut.origin, cut.own))
        if least_y <= y0 < most_y and diameter < limit_px and max(w, h) <= PIECE_ASPECT * limit_px + 2:
            below.append(Piece(diameter, cut.area, x0 - 0.5, y0 - 0.5, x0 + w - 0.5, y0 + h - 0.5))
    unseen = max(0, len(small) - MOST_A_WINDOW)
    return Pieces(below, len(below) + round(unseen * len(below) / MOST_A_WINDOW), wholes)


def _is_cut(box: Sequence[int], gone: NDArray[np.bool_], window: Window) -> bool:
    """Whether a piece reaches a tile that was left out, so that the rest of it is not known."""
    if not gone.any():
        return False
    x, y, w, h = box
    rows = slice(max(y - 1 - window.pad, 0) // TILE, (y + h - window.pad) // TILE + 1)
    columns = slice(max(x - 1 - window.pad, 0) // TILE, (x + w - window.pad) // TILE + 1)
    return bool(gone[rows, columns].any())


def _measured(
    cover: Bytes, small: list[tuple[NDArray[Any], Box]], limit_px: float, kind: Kind
) -> Iterator[tuple[_Cut, float]]:
    """Those that stand alone, or are wider than the limit anyway, with their inscribed diameters."""
    cut_out = (_cut_out(cover, contour, box, limit_px, kind.level) for contour, box in small)
    cuts = [cut for cut in cut_out if cut is not None]
    if not cuts:
        return
    x, y = (np.array(v, np.float32) for v in zip(*[c.middle for c in cuts], strict=True))
    chords = _inscribed(cover, x, y, int(PIECE_ASPECT * limit_px) + 4)
    for cut, chord in zip(cuts, chords, strict=True):
        round_one = sqrt(4.0 * cut.area / pi)
        w, h = cut.box[2:]
        is_round = round_one < TINY_PX and max(w, h) <= 1.6 * round_one + 1.5
        diameter = round_one if is_round else min(max(float(chord), 1.2 * cut.depth), round_one)
        if diameter >= limit_px or _stands_alone(cover, cut, kind):
            yield cut, diameter


def _inscribed(cover: Bytes, x: Floats, y: Floats, reach: int) -> Floats:
    """The shortest way across pieces through their middles, in px.

    Of a disc all chords are alike but for sampling noise: the mean of the three shortest, not the shortest. A
    chord is blurred along the rim as well, and reads shorter where the rim curves away on both sides.
    """
    angles = np.tile(np.arange(ANGLES, dtype=np.float32) * np.float32(pi / ANGLES), len(x))
    nx, ny = np.cos(angles), np.sin(angles)
    widths = chords_at(cover, np.repeat(x, ANGLES), np.repeat(y, ANGLES), nx, ny, reach).width
    widths = widths.reshape(-1, ANGLES)
    chords = np.sort(widths, axis=1)[:, :3].mean(axis=1)
    best = np.arange(len(x)) * ANGLES + widths.argmin(axis=1)
    nx, ny = nx[best], ny[best]
    dx, dy = on_grid(ny), on_grid(nx)
    ahead, behind = (chords_at(cover, x - k * dx, y + k * dy, nx, ny, reach).width for k in (1, -1))
    curved = np.clip(2.0 * chords - ahead - behind, 0.0, MOST_CURVED_PX)
    return np.asarray(chords + 0.5 * BLUR_PX**2 * curved, np.float32)


@dataclass(frozen=True, slots=True)
class _Cut:
    """A piece cut out: its box, where it was cut, its mask there, its area in px², its widest place."""

    box: Box
    origin: tuple[int, int]
    own: Bytes
    area: float
    middle: tuple[float, float]
    depth: float  # of the widest place, px from its centre to the next clear pixel's


def _cut_out(cover: Bytes, contour: NDArray[Any], box: Box, limit_px: float, level: int) -> _Cut | None:
    """The piece alone; None when its mask already holds a disc clearly wider than the limit."""
    x, y, w, h = box
    x0, y0 = max(x - 5, 0), max(y - 5, 0)
    part = np.ascontiguousarray(cover[y0 : y + h + 5, x0 : x + w + 5])
    own = np.zeros(part.shape, np.uint8)
    cv2.drawContours(own, [contour], -1, 255, cv2.FILLED, offset=(-x0, -y0))
    own = both(own, at_least(part, level))  # what it encloses, a letter's counter, is no part of it
    far = distance(own)
    _, deepest, _, (px, py) = cv2.minMaxLoc(far)
    if deepest > 0.5 * limit_px + 2.5:
        return None
    alone = both(part, highest(own))
    area = total(alone) / 255.0
    moments = cv2.moments(alone)
    middle = (moments["m10"] / moments["m00"], moments["m01"] / moments["m00"])
    if far[round(middle[1]), round(middle[0])] < deepest - 0.75:
        middle = (float(px), float(py))
    mx, my = on_grid(np.array(middle, np.float32))
    return _Cut(box, (x0, y0), own, area, (float(mx) + x0, float(my) + y0), deepest)


def _stands_alone(cover: Bytes, cut: _Cut, kind: Kind) -> bool:
    """Whether a piece stays apart from other ink at a lower level: the faint tip of a needle is no dot."""
    (x0, y0), own = cut.origin, cut.own
    around = np.ascontiguousarray(cover[y0 : y0 + own.shape[0], x0 : x0 + own.shape[1]])
    _, peak, _, (px, py) = cv2.minMaxLoc(both(around, own))
    parted = PARTED_HOLE if kind.is_hole and cut.area >= TIP_PX else PARTED
    level = TRACE if cut.area < SPECK_PX else parted * peak
    _, labels = cv2.connectedComponents(at_least(around, level), connectivity=8)
    mine = labels == labels[py, px]
    return not bool((mine & (own == 0) & (thin_mask(around, LOW, kind.share) != 0)).any())
