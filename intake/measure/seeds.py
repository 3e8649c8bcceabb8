"""Where to look: one seed a small cell on the middle of everything thin."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.blocks import Block
from intake.measure.bytewise import Bytes, city_block_distance
from intake.measure.fields import points_of, ridge_of, saddles, thin_mask
from intake.measure.scale import TILE, Scale, Side
from intake.measure.screens import DENSE, density_of, kept
from intake.measure.windows import Window

CROWDED = 1.2  # seeds a cell, of two at most
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Tiles:
    """By row and column of a window's own tiles: mostly ridge, and left out of the measuring."""

    dense: NDArray[np.bool_]
    gone: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Seeds:
    """Places in a window, in its own padded pixels."""

    x: NDArray[np.float32]
    y: NDArray[np.float32]

    def __len__(self) -> int:
        return len(self.x)


def seeds_of(
    cover: Bytes, window: Window, blocks: list[Block], side: Side, scale: Scale
) -> tuple[Seeds, Tiles]:
    """The thinnest ridge point of every cell in the window's own pixels, and what its tiles are.

    Of screened tiles only a few are measured; where many tiles are full of thin things, one cell of four is.
    """
    margin, pad = scale.margin_px, window.pad
    fars = [city_block_distance(thin_mask(block.around(cover, margin))) for block in blocks]
    ridges = [
        block.inside(ridge_of(far, side.search_px), margin) for block, far in zip(blocks, fars, strict=True)
    ]
    dense = _dense_tiles(window, blocks, ridges)
    gone = dense & ~kept(dense, window.top // TILE)
    found = [
        _of_block(cover, block, _Ridge(ridge, far, margin), gone, window, side)
        for block, ridge, far in zip(blocks, ridges, fars, strict=True)
    ]
    if not found:
        none = np.empty(0, np.float32)
        return Seeds(none, none), Tiles(dense, gone)
    y, x, mass, saddle = (np.concatenate(v) for v in zip(*found, strict=True))
    keep = _best_of_cells(y - pad, x - pad, mass, scale.cell_px, with_middling=True)
    most = CROWDED * (TILE / scale.cell_px) ** 2
    crowded = _in_crowded_tile(y[keep] - pad, x[keep] - pad, dense.shape, most, window.top // TILE)
    full = keep[crowded]
    thinned = full[_best_of_cells(y[full] - pad, x[full] - pad, mass[full], 2 * scale.cell_px, False)]
    necks = np.flatnonzero(saddle >= 0)
    rank = (255 - saddle[necks] << 8) | mass[necks]
    necks = necks[_best_of_cells(y[necks] - pad, x[necks] - pad, rank, scale.cell_px, False)]
    keep = np.unique(np.concatenate([keep[~crowded], thinned, necks]))
    return Seeds(x[keep].astype(np.float32), y[keep].astype(np.float32)), Tiles(dense, gone)


def _dense_tiles(window: Window, blocks: list[Block], ridges: list[Bytes]) -> NDArray[np.bool_]:
    """The tiles of the window's own pixels that are mostly ridge; blocks begin at tiles."""
    rows, columns = -(-(window.bottom - window.top) // TILE), -(-window.width // TILE)
    dense = np.zeros((rows, columns), bool)
    for block, ridge in zip(blocks, ridges, strict=True):
        top, left = (block.top - window.pad) // TILE, (block.left - window.pad) // TILE
        part = density_of(ridge) >= DENSE
        dense[top : top + part.shape[0], left : left + part.shape[1]] |= part
    return dense


@dataclass(frozen=True, slots=True)
class _Ridge:
    """A block's ridge, and the distances that it was found in, which have a margin."""

    mask: Bytes
    far: Bytes
    margin: int


def _of_block(
    cover: Bytes, block: Block, of: _Ridge, gone: NDArray[np.bool_], window: Window, side: Side
) -> tuple[Places, Places, Places, Places]:
    """Rows, columns, nearby coverage and saddles of the ridge in a block, but for the tiles that are gone."""
    ridge = of.mask
    top, left = (block.top - window.pad) // TILE, (block.left - window.pad) // TILE
    here = gone[top : -(-(block.bottom - window.pad) // TILE), left : -(-(block.right - window.pad) // TILE)]
    for row, column in np.argwhere(here):
        ridge[row * TILE : (row + 1) * TILE, column * TILE : (column + 1) * TILE] = 0
    y, x = points_of(ridge)
    far = 2 + int(side.search_px / 2)
    near = cover[block.top - far : block.bottom + far, block.left - far : block.right + far]
    mass = np.asarray(cv2.boxFilter(near, -1, (2 * far + 1, 2 * far + 1)))[y + far, x + far]
    saddle = saddles(of.far, y + of.margin, x + of.margin)
    return y + block.top, x + block.left, mass.astype(np.int64), saddle


def _in_crowded_tile(
    y: Places, x: Places, shape: tuple[int, ...], most: float, first_row: int
) -> NDArray[np.bool_]:
    """Which points share their tile with more than so many, but for the first such tiles of each row."""
    tile = y // TILE * shape[1] + x // TILE
    full = (np.bincount(tile, minlength=shape[0] * shape[1]) > most).reshape(shape)
    full &= ~kept(full, first_row)
    return np.asarray(full.reshape(-1)[tile], np.bool_)


def _best_of_cells(y: Places, x: Places, mass: Places, cell: int, with_middling: bool) -> Places:
    """Of the points in each cell the one with the least coverage around it, and one with a middling coverage.

    The least is at a neck, if there is one, but also at the very end of a line; the middling is inside it. Of
    points with the same least coverage the middle one is taken: the others lie nearer to an end.
    """
    key = ((y // cell << 24) + x // cell << 16) | mass
    order = np.argsort(key, kind="stable")
    key = key[order]
    starts = np.flatnonzero(np.diff(key >> 16, prepend=-(1 << 62)))
    alike = np.searchsorted(key, key[starts], side="right")
    least = (starts + alike - 1) // 2
    if not with_middling:
        return np.asarray(order[least], np.int64)
    middle = (starts + np.append(starts[1:], len(order))) // 2
    return np.asarray(order[np.unique(np.concatenate([middle, least]))], np.int64)
