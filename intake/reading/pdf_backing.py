"""Which thin lines of a page stand alone, and which lie on or beside other ink that carries them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from intake.reading.pdf_lines import ThinLine
from intake.reading.pdf_matrix import Matrix

if TYPE_CHECKING:
    from numpy.typing import NDArray

LOOK_LONGER_SIDE_PX = 2400
_RIM_PX = 2.5  # beyond the line's own edge: past its anti-aliasing
_INKED = 200
_GROUND_DIFFERENCE = 40
_GROUND_SHARE = 0.6
_LEAST_ALONE = 0.25  # of the places looked at: less is a line that only sticks out at its ends


@dataclass(frozen=True, slots=True)
class InkMap:
    """Where a page is inked, as booleans of a small rendering, and the way from points to its pixels."""

    inked: NDArray[np.bool_]
    to_pixels: Matrix

    def at(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Whether the points (in points of the page) are inked; outside the page nothing is."""
        rows, columns = self.inked.shape
        px = np.floor(x * self.to_pixels.a).astype(np.int64)
        py = np.floor(y * self.to_pixels.d).astype(np.int64)
        within = (px >= 0) & (py >= 0) & (px < columns) & (py < rows)
        inked: NDArray[np.bool_] = within & self.inked[py.clip(0, rows - 1), px.clip(0, columns - 1)]
        return inked


def ink_map(picture: NDArray[np.uint8], width_pt: float, height_pt: float) -> InkMap:
    """Ink of a page's RGBA rendering: what is opaque and, on a plain ground, not of its colour."""
    inked: NDArray[np.bool_] = picture[..., 3] >= _INKED
    rim = np.concatenate([picture[0], picture[-1], picture[:, 0], picture[:, -1]])
    opaque = rim[rim[:, 3] >= _INKED]
    if len(opaque) >= _GROUND_SHARE * len(rim):
        ground = np.median(opaque[:, :3], axis=0)
        away = np.abs(picture[..., :3].astype(np.int16) - ground.astype(np.int16)).max(axis=2)
        inked &= away > _GROUND_DIFFERENCE
    rows, columns = inked.shape
    return InkMap(inked, Matrix(columns / width_pt, 0, 0, rows / height_pt))


def stands_alone(line: ThinLine, ink: InkMap) -> bool:
    """Whether on both sides of the line there is no ink, in enough of the places looked at.

    A hairline round a filled shape, or one drawn on a filled ground, holds as well as what it lies on.
    """
    if not line.samples:
        return True
    at = np.array([(s.x, s.y, s.across_x, s.across_y) for s in line.samples], np.float64)
    reach = line.width_pt / 2 + _RIM_PX / min(ink.to_pixels.a, ink.to_pixels.d)
    one = ink.at(at[:, 0] + reach * at[:, 2], at[:, 1] + reach * at[:, 3])
    other = ink.at(at[:, 0] - reach * at[:, 2], at[:, 1] - reach * at[:, 3])
    return bool(np.mean(~one & ~other) >= _LEAST_ALONE)
