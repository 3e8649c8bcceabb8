"""Small pictures for the measures beside the widths, and how they go through the whole measuring."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.facts import Ask, InkMeasures
from intake.measure import measure_with_picture
from intake.measure.looks import LookFor, WatchedPixels

MM_A_PX = 25.4 / 300
Picture = NDArray[np.uint8]


@dataclass
class Held:
    """Pixels of a picture held in memory (intake.facts.Pixels)."""

    rgba: Picture
    has_alpha: bool = True
    lossy: bool = False

    def __post_init__(self) -> None:
        self.height, self.width = (int(side) for side in self.rgba.shape[:2])

    def bands(self, rows: int) -> Iterator[Picture]:
        """Its rows, from the top."""
        for top in range(0, self.height, rows):
            yield np.ascontiguousarray(self.rgba[top : top + rows])


def measured(rgba: Picture, garment: str | None = None, has_alpha: bool = True) -> InkMeasures:
    """All measures of a picture printed at 300 ppi."""
    watched = WatchedPixels(Held(rgba, has_alpha), MM_A_PX, LookFor(True, garment))
    return watched.added_to(measure_with_picture(watched, MM_A_PX, Ask())[0])


def clear(width: int = 700, height: int = 600) -> Picture:
    """Nothing at all."""
    return np.zeros((height, width, 4), np.uint8)


def cover_of_blobs(width: int = 700, height: int = 600) -> NDArray[Any]:
    """Smooth-edged coverage 0–1 of a few large discs and a wavy body."""
    fine = np.zeros((height * 4, width * 4), np.uint8)
    for x, y, r in ((0.25, 0.3, 0.18), (0.7, 0.35, 0.22), (0.45, 0.75, 0.2)):
        cv2.circle(fine, (int(x * width * 4), int(y * height * 4)), int(r * height * 4), 255, -1)
    small = cv2.resize(fine, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.float64) / 255


def painted(cover: NDArray[Any], colour: NDArray[Any] | tuple[int, int, int]) -> Picture:
    """Straight RGBA of one colour or of a picture of colours, clear where nothing covers."""
    rgb = np.broadcast_to(np.asarray(colour, np.float64), (*cover.shape, 3))
    rgba = np.dstack([np.clip(rgb, 0, 255), np.clip(cover, 0, 1) * 255])
    return np.ascontiguousarray(rgba.round().astype(np.uint8))
