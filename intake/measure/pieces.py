"""Separate small pieces of ink (islands) and small holes in it, each with its inscribed diameter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, sqrt
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes, at_least, both, distance, highest
from intake.measure.chords import chords_at
from intake.measure.fields import thin_mask
from intake.measure.scale import PIECE_ASPECT
from intake.measure.windows import Window

LOW = 40  # coverage from which a pixel belongs to a piece: a 0.1 mm dot at 150 ppi reaches little more
Box = tuple[int, int, int, int]
PARTED = 0.38  # at this share of its own coverage a piece must still be apart from others
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


def pieces_of(cover: Bytes, window: Window, limit_px: float) -> tuple[list[Piece], int]:
    """Pieces of a smaller inscribed diameter whose first row is the window's own, and their number."""
    mask = thin_mask(cover, LOW)
    contours, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    if not contours:
        return [], 0
    largest = PIECE_ASPECT * limit_px + 2
    own = range(window.pad, window.pad + window.bottom - window.top)
    small: list[tuple[NDArray[Any], Box]] = []
    for contour, parent in zip(contours, tree[0][:, 3], strict=True):
        if parent == -1 and len(contour) < 4 * largest:
            box = cv2.boundingRect(contour)
            if box[2] <= largest and box[3] <= largest and box[1] in own:
                small.append((np.asarray(contour), (int(box[0]), int(box[1]), int(box[2]), int(box[3]))))
    pieces = list(_measured(cover, small[:MOST_A_WINDOW], limit_px))
    unseen = max(0, len(small) - MOST_A_WINDOW)
    return pieces, len(pieces) + round(unseen * len(pieces) / MOST_A_WINDOW)


def _measured(cover: Bytes, small: list[tuple[NDArray[Any], Box]], limit_px: float) -> Iterator[Piece]:
    for contour, (x, y, w, h) in small:
        area, piece = _cut_out(cover, contour, x, y, w, h)
        diameter = _inscribed(piece, area)
        if diameter < limit_px and _stands_alone(cover, contour, area, (x, y, w, h)):
            yield Piece(diameter, area, x - 0.5, y - 0.5, x + w - 0.5, y + h - 0.5)


def _cut_out(cover: Bytes, contour: NDArray[Any], x: int, y: int, w: int, h: int) -> tuple[float, Bytes]:
    """The covered area in px² of a piece, and the piece alone with its faint rim."""
    x0, y0 = max(x - 2, 0), max(y - 2, 0)
    part = cover[y0 : y + h + 2, x0 : x + w + 2]
    mask = np.zeros(part.shape, np.uint8)
    cv2.drawContours(mask, [contour], -1, 255, cv2.FILLED, offset=(-x0, -y0))
    alone = both(np.ascontiguousarray(part), highest(mask))
    return float(alone.sum()) / 255.0, alone


def _stands_alone(cover: Bytes, contour: NDArray[np.int32], area: float, box: Box) -> bool:
    """Whether a piece stays apart from other ink at a lower level: the faint tip of a needle is no dot."""
    x, y, w, h = box
    x0, y0 = max(x - 5, 0), max(y - 5, 0)
    around = np.ascontiguousarray(cover[y0 : y + h + 5, x0 : x + w + 5])
    own = np.zeros(around.shape, np.uint8)
    cv2.drawContours(own, [contour], -1, 255, cv2.FILLED, offset=(-x0, -y0))
    peak = float(both(around, own).max())
    level = TRACE if area < SPECK_PX else PARTED * peak
    _, labels = cv2.connectedComponents(at_least(around, level), connectivity=8)
    mine = np.unique(labels[(own != 0) & (labels > 0)])
    others = (thin_mask(around, LOW) != 0) & (own == 0) & np.isin(labels, mine)
    return not bool(others.any())


def _inscribed(piece: Bytes, area: float) -> float:
    """The diameter in px of the largest disc that the piece holds, read from coverage."""
    round_one = sqrt(4.0 * area / pi)
    if round_one < TINY_PX and max(piece.shape) - 4 <= 1.6 * round_one + 1.5:
        return round_one
    big = np.asarray(cv2.resize(piece, None, fx=4, fy=4, interpolation=cv2.INTER_CUBIC), np.uint8)
    far = distance(at_least(big, 0.5 * float(piece.max())), is_exact=True)
    _, _, _, (px, py) = cv2.minMaxLoc(far)
    angles = np.arange(ANGLES) * pi / ANGLES
    x = np.full(ANGLES, (px + 0.5) / 4 - 0.5, np.float32)
    y = np.full(ANGLES, (py + 0.5) / 4 - 0.5, np.float32)
    reach = max(piece.shape)
    chords = chords_at(
        piece, x, y, np.cos(angles).astype(np.float32), np.sin(angles).astype(np.float32), reach
    )
    return min(float(chords.width.min()), round_one)
