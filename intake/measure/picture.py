"""A small picture of the art, made from the same bands that are measured."""

from __future__ import annotations

import cv2
import numpy as np

from intake.measure.bytewise import Bytes, at_least, channel, count, only_where, shrunk
from intake.measure.scratch import Scratch

ROWS = 64


class SmallPicture:
    """Takes bands of straight RGBA, top to bottom, and gives the whole, at most `longest_px` long.

    Colours are averaged over pixels that are not fully transparent, so that whatever colour lies under clear
    pixels does not darken the rims.
    """

    def __init__(self, width: int, height: int, longest_px: int) -> None:
        self.factor = max(1.0, max(width, height) / longest_px)
        self.size = (max(1, round(width / self.factor)), max(1, round(height / self.factor)))
        self.halvings = int(np.log2(self.factor))
        self.parts: list[Bytes] = []
        self.seen: list[Bytes] = []
        self.scratch = Scratch()

    def add(self, band: Bytes) -> None:
        """Take the next band; a few rows at a time, which the processor's cache holds."""
        rows = max(ROWS, 2**self.halvings)
        for top in range(0, band.shape[0], rows):
            self._add(band[top : top + rows])

    def _add(self, band: Bytes) -> None:
        visible = at_least(channel(band, 3), 1, self.scratch.array("visible", band.shape[:2]))
        if count(visible) < visible.size:
            band = only_where(visible, band, self.scratch.array("band", band.shape))
        self.parts.append(self._halved(band))
        self.seen.append(self._halved(visible))

    def _halved(self, band: Bytes) -> Bytes:
        for _ in range(self.halvings):
            rows, columns = (max(band.shape[0] // 2, 1), max(band.shape[1] // 2, 1))
            band = shrunk(band[: rows * 2, : columns * 2], columns, rows)
        return band if self.halvings else band.copy()

    def finished(self) -> Bytes:
        """The small picture, straight RGBA."""
        rgba = np.concatenate(self.parts)
        seen = np.concatenate(self.seen)
        if (rgba.shape[1], rgba.shape[0]) != self.size:
            rgba = shrunk(rgba, *self.size)
            seen = shrunk(seen, *self.size)
        if count(seen) and int(seen.min()) < 255:
            rgba[..., :3] = cv2.divide(rgba[..., :3], cv2.merge([seen, seen, seen]), scale=255.0)
        return rgba
