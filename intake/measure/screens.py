"""Line screens, halftones and noise: told early by their ridges, and measured on a sample."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes, shrunk
from intake.measure.scale import TILE

DENSE = (
    0.20  # of a tile's pixels are ridge: 4 pt type has 0.16, a dot screen or noise 0.23, a line screen 0.5
)
KEPT_IN_ROW = 8  # dense tiles of each row of tiles that are measured like any other
KEPT_OF = 16  # one of so many of the rest, spread by a fixed rule
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
    """The share of ridge in each tile of an array that begins at a tile; cut tiles count as whole."""
    rows, columns = -(-ridge.shape[0] // TILE), -(-ridge.shape[1] // TILE)
    whole = np.zeros((rows * TILE, columns * TILE), np.uint8)
    whole[: ridge.shape[0], : ridge.shape[1]] = ridge
    return shrunk(whole, columns, rows).astype(np.float32) / 255.0


def kept(dense: Flags, first_row: int, first_column: int = 0) -> Flags:
    """Which dense tiles are measured all the same: the first of each row, and one of so many of the rest."""
    rank = np.cumsum(dense, axis=1)
    row = np.arange(dense.shape[0])[:, None] + first_row
    column = np.arange(dense.shape[1])[None, :] + first_column
    chosen = (row * 7 + column * 5) % KEPT_OF == 0
    return np.asarray(dense & ((rank <= KEPT_IN_ROW) | chosen), np.bool_)
