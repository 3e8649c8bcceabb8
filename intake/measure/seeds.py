"""Where to look: one seed a small cell on the middle of everything thin."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.blocks import Block
from intake.measure.bytewise import Bytes, city_block_distance
from intake.measure.fields import points_of, ridge_of, saddles, thin_mask
from intake.measure.scale import TILE, Scale, Side
from intake.measure.screens import DENSE, density_of
from intake.measure.shortlist import Shortlist
from intake.measure.windows import Window

CROWDED = 1.2  # seeds a cell, of two at most
MORE_PX = 4.0  # so much wider than what is told a place may seem before it is followed to its thinnest part
RIMS_PX = 3.0
Places = NDArray[np.int32]
Numbers = NDArray[np.int64]


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
    is_neck: NDArray[
        np.bool_
    ]  # on a saddle of the distances: the way across may be short in one direction only

    def __len__(self) -> int:
        return len(self.x)


def seeds_of(
    cover: Bytes, window: Window, blocks: list[Block], side: Side, scale: Scale, known: Shortlist
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
    gone = dense & ~known.dense.of(dense, window.top // TILE)
    found = [
        _of_block(cover, block, _Ridge(ridge, far, margin), gone, window, side)
        for block, ridge, far in zip(blocks, ridges, fars, strict=True)
    ]
    if not found:
        none = np.empty(0, np.float32)
        return Seeds(none, none, none.astype(bool)), Tiles(dense, gone)
    y, x, mass, saddle, apart = (np.concatenate(v) for v in zip(*found, strict=True))
    del found, fars, ridges  # a page of screens has as many of them as pixels
    keep = _best_of_cells(y - pad, x - pad, mass, scale.cell_px, with_middling=True)
    most = CROWDED * (TILE / scale.cell_px) ** 2
    full = _crowded_tiles(y[keep] - pad, x[keep] - pad, dense.shape, most)
    full &= ~known.crowded.of(full, window.top // TILE)
    crowded = full[(y[keep] - pad) // TILE, (x[keep] - pad) // TILE]
    many = keep[crowded]
    thinned = many[_best_of_cells(y[many] - pad, x[many] - pad, mass[many], 2 * scale.cell_px, False)]
    necks = np.flatnonzero(saddle >= 0)
    rank = (255 - saddle[necks] << 8) | mass[necks]
    necks = necks[_best_of_cells(y[necks] - pad, x[necks] - pad, rank, scale.cell_px, False)]
    keep = np.unique(np.concatenate([keep[~crowded], thinned, necks]))
    keep = keep[apart[keep] <= _farthest(side, scale, known)]
    found_x, found_y = x[keep].astype(np.float32), y[keep].astype(np.float32)
    return Seeds(found_x, found_y, saddle[keep] >= 0), Tiles(dense, gone)


def _farthest(side: Side, scale: Scale, known: Shortlist) -> float:
    """City-block distances to the clear beyond which nothing is worth following.

    All within that distance is ink: the shortest chord is 1.41 times as long, but for the pixels of the rim.
    """
    wanted = max(known.bound + MORE_PX, 2.0 * scale.choke_px + MORE_PX if side.is_ink else 0.0)
    return (wanted + RIMS_PX) / sqrt(2.0)


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
) -> tuple[Places, Places, Places, Places, Bytes]:
    """Rows, columns, nearby coverage, saddles and distances of a block's ridge but for the tiles gone."""
    ridge = of.mask
    top, left = (block.top - window.pad) // TILE, (block.left - window.pad) // TILE
    here = gone[top : -(-(block.bottom - window.pad) // TILE), left : -(-(block.right - window.pad) // TILE)]
    for row, column in np.argwhere(here):
        ridge[row * TILE : (row + 1) * TILE, column * TILE : (column + 1) * TILE] = 0
    y, x = points_of(ridge)
    far = 2 + int(side.search_px / 2)
    near = cover[block.top - far : block.bottom + far, block.left - far : block.right + far]
    mean = np.asarray(cv2.boxFilter(near, -1, (2 * far + 1, 2 * far + 1)))
    mass = mean.reshape(-1).take((y + far) * mean.shape[1] + x + far)
    saddle = saddles(of.far, y + of.margin, x + of.margin)
    apart = of.far[y + of.margin, x + of.margin]
    rows, columns = (y + block.top).astype(np.int32), (x + block.left).astype(np.int32)
    return rows, columns, mass.astype(np.int32), saddle.astype(np.int32), apart


def _crowded_tiles(y: Places, x: Places, shape: tuple[int, ...], most: float) -> NDArray[np.bool_]:
    """Which tiles hold more than so many of the points."""
    number = np.bincount(y // TILE * shape[1] + x // TILE, minlength=shape[0] * shape[1])
    return np.asarray((number > most).reshape(shape), np.bool_)


def _best_of_cells(y: Places, x: Places, mass: Places, cell: int, with_middling: bool) -> Numbers:
    """Of the points in each cell the one with the least coverage around it, and one with a middling coverage.

    The least is at a neck, if there is one, but also at the very end of a line; the middling is inside it. Of
    points with the same least coverage the middle one is taken: the others lie nearer to an end.
    """
    key = (((y // cell).astype(np.int64) << 24) + x // cell << 16) | mass
    order = np.argsort(key, kind="stable")
    key = key[order]
    starts = np.flatnonzero(np.diff(key >> 16, prepend=-(1 << 62)))
    alike = np.searchsorted(key, key[starts], side="right")
    least = (starts + alike - 1) // 2
    if not with_middling:
        return np.asarray(order[least], np.int64)
    middle = (starts + np.append(starts[1:], len(order))) // 2
    return np.asarray(order[np.unique(np.concatenate([middle, least]))], np.int64)
