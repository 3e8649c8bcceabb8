"""The few parts of a picture that hold the most edges, kept from a stream of bands."""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappush, heappushpop
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.facts import Place
from intake.measure.bytewise import Bytes, at_least, count

TILE_PX = 512
MOST_TILES = 6
PART_PX = 64  # the side of what is shown of a tile
CONTRAST = 40  # an edge worth looking at: less is texture, noise or compression


@dataclass(frozen=True, slots=True)
class Tile:
    """A part of the picture as straight RGBA, and where it lies (px of the picture)."""

    rgba: Bytes
    left: int
    top: int

    def part(self, marks: NDArray[Any], mm_per_px: float) -> Place:
        """The small square of the tile that holds the most of what is marked, on the print."""
        high, wide = (max(1, side // PART_PX) for side in self.rgba.shape[:2])
        dense = cv2.resize(marks.astype(np.float32), (wide, high), interpolation=cv2.INTER_AREA)
        row, column = np.unravel_index(int(np.asarray(dense).reshape(high, wide).argmax()), (high, wide))
        tall, across = self.rgba.shape[0] / high, self.rgba.shape[1] / wide
        mm = mm_per_px
        left, top = self.left + float(column) * across, self.top + float(row) * tall
        return Place(left * mm, top * mm, across * mm, tall * mm)

    def liveliest(self, mm_per_px: float) -> Place:
        """The small square of the tile with the most edges, on the print."""
        plane = plane_of(self.rgba).astype(np.int16)
        return self.part(np.abs(np.diff(plane, axis=1)) >= CONTRAST // 4, mm_per_px)


class Tiles:
    """Takes bands of straight RGBA, top to bottom, and keeps the tiles with the most edges."""

    def __init__(self, most: int = MOST_TILES) -> None:
        self._most = most
        self._kept: list[tuple[int, int, Tile]] = []
        self._row = 0
        self._number = 0

    def add(self, band: Bytes) -> None:
        """Take the next band."""
        edges = _edges(band)
        for left in range(0, band.shape[1], TILE_PX):
            score = count(np.ascontiguousarray(edges[:, left : left + TILE_PX]))
            if score and (len(self._kept) < self._most or score > self._kept[0][0]):
                part = np.ascontiguousarray(band[:, left : left + TILE_PX])
                self._keep(score, Tile(part, left, self._row))
        self._row += band.shape[0]

    def _keep(self, score: int, tile: Tile) -> None:
        self._number += 1
        entry = (score, -self._number, tile)
        if len(self._kept) < self._most:
            heappush(self._kept, entry)
        else:
            heappushpop(self._kept, entry)

    def kept(self) -> list[Tile]:
        """The tiles, the most edges first."""
        return [tile for _, _, tile in sorted(self._kept, key=lambda entry: entry[:2], reverse=True)]


def _edges(band: Bytes) -> Bytes:
    """255 where a picture element differs strongly from one two columns on: seen on every fourth row."""
    thin = np.ascontiguousarray(band[::4])
    if thin.shape[1] < 3:
        return np.zeros(thin.shape[:2], np.uint8)
    plane = plane_of(thin)
    ahead = np.zeros_like(plane)
    ahead[:, :-2] = cv2.absdiff(np.ascontiguousarray(plane[:, 2:]), np.ascontiguousarray(plane[:, :-2]))
    return at_least(ahead, CONTRAST)


def plane_of(rgba: Bytes) -> Bytes:
    """One plane in which every visible edge shows: the art's lightness over a ground that differs from it."""
    alpha = rgba[..., 3].astype(np.uint16)
    red, green, blue = (rgba[..., k].astype(np.uint16) for k in range(3))
    light = (red + 2 * green + blue + 2) >> 2
    inked = alpha >= 128
    ground = 0
    if not inked.all() and inked.any():
        ground = 0 if float(light[inked].mean()) >= 128 else 255
    return ((light * alpha + ground * (255 - alpha) + 127) // 255).astype(np.uint8)
