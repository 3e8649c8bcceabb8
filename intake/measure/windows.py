"""A picture's coverage in overlapping windows of rows, so that it never has to be held whole."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.scale import TILE

WINDOW_PX = 4_000_000  # about so many pixels a window: the measuring's memory follows it


@dataclass(frozen=True, slots=True)
class Window:
    """Rows `top` to `bottom` of the picture with `pad` more on every side; off the canvas all is clear.

    `cover` is coverage 0–255 of shape (bottom − top + 2·pad, at least width + 2·pad), a multiple of 8 wide.
    """

    cover: Bytes
    top: int
    bottom: int
    width: int
    pad: int
    crisp: Bytes | None = None  # 255 where edges have no anti-aliasing, of the padded size

    @property
    def own(self) -> Bytes:
        """The window's own pixels, without the surroundings."""
        return self.own_part(self.cover)

    def own_part(self, padded: NDArray[Any]) -> NDArray[Any]:
        """The window's own part of any array of its padded size."""
        return padded[self.pad : self.pad + self.bottom - self.top, self.pad : self.pad + self.width]


def rows_a_window(width: int, halo: int) -> int:
    """How many rows of its own a window of such a picture gets: a multiple of the tile."""
    wanted = max(WINDOW_PX // max(width, 1) - 2 * halo, 2 * halo)
    return max(TILE, min(wanted, 4096) // TILE * TILE)


def windows(bands: Iterable[Bytes], width: int, pad: int, rows: int) -> Iterator[Window]:
    """Cut coverage, handed in as bands of rows, into windows of `rows` rows of their own.

    The windows share one buffer: a window is valid until the next one is asked for.
    """
    across = -(-(width + 2 * pad) // 8) * 8
    buffer = np.zeros((rows + 2 * pad, across), np.uint8)
    filled, top = pad, 0  # the first `pad` rows lie above the canvas
    for band in bands:
        taken = 0
        while taken < band.shape[0]:
            part = min(band.shape[0] - taken, buffer.shape[0] - filled)
            buffer[filled : filled + part, pad : pad + width] = band[taken : taken + part]
            taken, filled = taken + part, filled + part
            if filled == buffer.shape[0]:
                yield Window(buffer, top, top + rows, width, pad)
                buffer[: 2 * pad] = buffer[rows:].copy()
                filled, top = 2 * pad, top + rows
    while filled > pad:
        own = min(filled - pad, rows)
        buffer[filled:] = 0
        yield Window(buffer[: own + 2 * pad], top, top + own, width, pad)
        buffer[: 2 * pad] = buffer[own : own + 2 * pad].copy()
        filled, top = filled - own, top + own
