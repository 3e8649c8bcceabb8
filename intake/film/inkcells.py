"""Where an artwork has any ink at all, in cells of a quarter of a millimetre, while its bands go by."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from intake.facts import Pixels, PrintSize
from tickets.film.model import Ring
from tickets.film.outlining import CELL_MM, outline_of_cells

Bytes = NDArray[np.uint8]


class InkCells:
    """A cell is inked where any of its pixels is the least bit opaque; the last ones may reach beyond."""

    def __init__(self, width: int, height: int, size: PrintSize) -> None:
        self._size = size
        self._px_mm = (size.width_mm / width, size.height_mm / height)
        self._across, self._down = (max(1, math.floor(CELL_MM / mm)) for mm in self._px_mm)
        self._columns = np.arange(0, width, self._across)
        self._cells: Bytes = np.zeros((-(-height // self._down), len(self._columns)), np.uint8)
        self._row = 0

    def add(self, band: Bytes) -> None:
        """The next rows, straight RGBA."""
        first = self._row // self._down
        starts = [0, *range((first + 1) * self._down - self._row, len(band), self._down)]
        lines = np.maximum.reduceat(band[..., 3], starts, axis=0)
        cells = np.maximum.reduceat(lines, self._columns, axis=1) > 0
        self._cells[first : first + len(cells)] |= cells
        self._row += len(band)

    def outline(self) -> tuple[Ring, ...]:
        """The outlines round all of it in mm, simplified outwards; () where the box serves as well."""
        cell_mm = (self._across * self._px_mm[0], self._down * self._px_mm[1])
        return outline_of_cells(self._cells, cell_mm, (self._size.width_mm, self._size.height_mm))


class CelledPixels:
    """Pixels whose first whole reading fills the cells on the way (intake.facts.Pixels)."""

    def __init__(self, pixels: Pixels, size: PrintSize) -> None:
        self.width, self.height = pixels.width, pixels.height
        self.has_alpha, self.lossy = pixels.has_alpha, pixels.lossy
        self._pixels = pixels
        self._cells = InkCells(pixels.width, pixels.height, size)
        self._is_seen = False

    def bands(self, rows: int) -> Iterator[Bytes]:
        """The bands of the pixels, as they are."""
        is_first, self._is_seen = not self._is_seen, True
        for band in self._pixels.bands(rows):
            if is_first and self.has_alpha:
                self._cells.add(band)
            yield band

    def outline(self) -> tuple[Ring, ...]:
        """The outlines of what went by; () for a picture without transparency: it inks its box."""
        if not self._is_seen:
            for _ in self.bands(256):
                pass
        return self._cells.outline() if self.has_alpha else ()
