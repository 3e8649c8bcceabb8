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
from intake.measure.chords import chords_at, on_grid
from intake.measure.fields import thin_mask
from intake.measure.scale import PIECE_ASPECT, TILE
from intake.measure.windows import Window

LOW = 40  # coverage from which a pixel belongs to a piece: a 0.1 mm dot at 150 ppi reaches little more
Box = tuple[int, int, int, int]
PARTED = 0.46  # at this share of its own coverage a piece must still be apart from others
SPECK_PX, TRACE = 4.0, 12.0  # so small a piece (px²) must not even be joined by a trace of coverage
TINY_PX = 3.0  # below this the covered area says more than a chord
ANGLES = 16
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


ISLAND, HOLE = Kind(LOW, 0.5, False), Kind(64, 0.62, True)  # a smaller share of the clear is a leak


def pieces_of(
    window: Window, mask: Bytes, limit_px: float, kind: Kind, gone: NDArray[np.bool_]
) -> tuple[list[Piece], int]:
    """Pieces of a smaller inscribed diameter whose first row is the window's own, and their number.

    `mask` is the kind's, of the window; tiles that are gone are blotted out in it.
    """
    for row, column in np.argwhere(gone):
        top, left = window.pad + row * TILE, window.pad + column * TILE
        mask[top : top + TILE, left : left + TILE] = 0
    contours, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    if not contours:
        return [], 0
    largest = PIECE_ASPECT * limit_px + 2
    own = range(window.pad, window.pad + window.bottom - window.top)
    small: list[tuple[NDArray[Any], Box]] = []
    for contour, parent in zip(contours, tree[0][:, 3], strict=True):
        if parent == -1 and len(contour) < 4 * largest:
            box = cv2.boundingRect(contour)
            compact = not kind.is_hole or min(box[2], box[3]) <= 1.5 * limit_px + 3
            if (
                box[2] <= largest
                and box[3] <= largest
                and box[1] in own
                and compact
                and not _is_cut(box, gone, window)
            ):
                small.append((np.asarray(contour), (int(box[0]), int(box[1]), int(box[2]), int(box[3]))))
    pieces = list(_measured(window.cover, small[:MOST_A_WINDOW], limit_px, kind))
    unseen = max(0, len(small) - MOST_A_WINDOW)
    return pieces, len(pieces) + round(unseen * len(pieces) / MOST_A_WINDOW)


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
) -> Iterator[Piece]:
    cut_out = (_cut_out(cover, contour, box, limit_px, kind.level) for contour, box in small)
    cuts = [cut for cut in cut_out if cut is not None]
    if not cuts:
        return
    x, y = (np.repeat(np.array([v], np.float32), ANGLES) for v in zip(*[c.middle for c in cuts], strict=True))
    angles = np.tile(np.arange(ANGLES, dtype=np.float32) * np.float32(pi / ANGLES), len(cuts))
    reach = int(PIECE_ASPECT * limit_px) + 4
    widths = chords_at(cover, x, y, np.cos(angles), np.sin(angles), reach).width
    # Of a disc all chords are alike but for sampling noise: the mean of the three shortest, not the shortest.
    chords = np.sort(widths.reshape(-1, ANGLES), axis=1)[:, :3].mean(axis=1)
    for cut, chord in zip(cuts, chords, strict=True):
        round_one = sqrt(4.0 * cut.area / pi)
        x0, y0, w, h = cut.box
        is_round = round_one < TINY_PX and max(w, h) <= 1.6 * round_one + 1.5
        diameter = round_one if is_round else min(max(float(chord), 1.2 * cut.depth), round_one)
        if diameter < limit_px and _stands_alone(cover, cut, kind.share):
            yield Piece(diameter, cut.area, x0 - 0.5, y0 - 0.5, x0 + w - 0.5, y0 + h - 0.5)


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


def _stands_alone(cover: Bytes, cut: _Cut, share: float) -> bool:
    """Whether a piece stays apart from other ink at a lower level: the faint tip of a needle is no dot."""
    (x0, y0), own = cut.origin, cut.own
    around = np.ascontiguousarray(cover[y0 : y0 + own.shape[0], x0 : x0 + own.shape[1]])
    _, peak, _, (px, py) = cv2.minMaxLoc(both(around, own))
    level = TRACE if cut.area < SPECK_PX else PARTED * peak
    _, labels = cv2.connectedComponents(at_least(around, level), connectivity=8)
    mine = labels == labels[py, px]
    return not bool((mine & (own == 0) & (thin_mask(around, LOW, share) != 0)).any())
