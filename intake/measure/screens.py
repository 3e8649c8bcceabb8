"""Line screens, halftones and noise: told early by their ridges, and measured on a sample."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.scale import TILE

DENSE = (
    0.20  # of a tile's pixels are ridge: 4 pt type has 0.16, a dot screen or noise 0.23, a line screen 0.5
)
KEPT_FIRST = 112  # dense tiles of a picture, as it is read, that are measured like any other
KEPT_OF = 32  # one of so many of the rest, spread by a fixed rule
CANVAS_SHARE = 0.03  # of the canvas must be dense to be called screened …
LEAST_TILES = 12  # … and at least so many tiles
Flags = NDArray[np.bool_]


@dataclass(slots=True)
class Screens:
    """The dense tiles of a whole picture, by row and column of tiles."""

    tiles: list[tuple[int, int]] = field(default_factory=list)

    def is_screened(self, width: int, height: int) -> bool:
        """Whether enough of the canvas is dense."""
        least = CANVAS_SHARE * width * height / (TILE * TILE)
        return len(self.tiles) >= max(LEAST_TILES, least)

    def boxes(self) -> list[tuple[int, int, int, int]]:
        """The dense tiles as boxes in px, those beside each other in a row made one."""
        boxes: list[tuple[int, int, int, int]] = []
        for row, column in sorted(self.tiles):
            box = (column * TILE, row * TILE, (column + 1) * TILE, (row + 1) * TILE)
            if boxes and boxes[-1][1] == box[1] and boxes[-1][2] == box[0]:
                box = (boxes.pop()[0], *box[1:])
            boxes.append(box)
        return boxes


def density_of(ridge: Bytes) -> NDArray[np.float32]:
    """The share of ridge (255) in each tile of an array that begins at a tile; cut tiles count as whole."""
    rows, columns = -(-ridge.shape[0] // TILE), -(-ridge.shape[1] // TILE)
    whole = np.zeros((rows * TILE, columns * TILE), np.uint8)
    whole[: ridge.shape[0], : ridge.shape[1]] = ridge
    # Eight pixels at a time: a column of a tile adds up to 64, which no byte's neighbour feels.
    ones = (whole.view(np.uint64) & np.uint64(0x0101010101010101)).reshape(rows, TILE, -1)
    down = np.add.reduce(ones, axis=1).view(np.uint8).reshape(rows, columns, TILE)
    return np.asarray(np.add.reduce(down, axis=2, dtype=np.float32) / np.float32(TILE * TILE), np.float32)


@dataclass(slots=True)
class Kept:
    """Which of the tiles that hold too much are measured all the same, as a picture is read row by row."""

    seen: int = 0

    def of(self, full: Flags, first_row: int) -> Flags:
        """Of the next rows of tiles: the first of the whole picture, then one of so many."""
        rank = self.seen + np.cumsum(full).reshape(full.shape)
        self.seen = int(rank[-1, -1]) if rank.size else self.seen
        row = np.arange(full.shape[0])[:, None] + first_row
        chosen = (row * 7 + np.arange(full.shape[1]) * 5) % KEPT_OF == 0
        return np.asarray(full & ((rank <= KEPT_FIRST) | chosen), np.bool_)
