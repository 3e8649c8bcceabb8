"""Where something lies, remembered at an eighth of the size and told as boxes."""

from __future__ import annotations

import cv2
import numpy as np

from intake.measure.bytewise import Bytes, at_least, shrunk

STEP = 8  # px; what is marked begins at multiples of it


class Region:
    """Marks made window by window; the boxes do not depend on how the picture was cut."""

    def __init__(self, width: int, height: int) -> None:
        self.map = np.zeros((-(-height // STEP), -(-width // STEP)), np.uint8)

    def mark(self, mask: Bytes, left: int, top: int) -> None:
        """Mark what is not 0 in a mask whose first pixel is (left, top), both multiples of eight."""
        x, y, w, h = cv2.boundingRect(mask)
        if not w:
            return
        x0, y0 = x // STEP * STEP, y // STEP * STEP
        mask, left, top = mask[y0 : y + h, x0 : x + w], left + x0, top + y0
        rows, columns = -(-mask.shape[0] // STEP), -(-mask.shape[1] // STEP)
        whole = np.zeros((rows * STEP, columns * STEP), np.uint8)
        whole[: mask.shape[0], : mask.shape[1]] = at_least(np.ascontiguousarray(mask), 1)
        part = at_least(shrunk(whole, columns, rows), 1)
        self.map[top // STEP : top // STEP + rows, left // STEP : left // STEP + columns] |= part

    def boxes(self) -> list[tuple[int, int, int, int]]:
        """Boxes of connected marks in px (left, top, right, bottom), the largest first."""
        number, _, stats, _ = cv2.connectedComponentsWithStats(self.map)
        boxes = [
            (int(x) * STEP, int(y) * STEP, int(x + w) * STEP, int(y + h) * STEP)
            for x, y, w, h, _ in stats[1:number]
        ]
        return sorted(boxes, key=lambda b: ((b[0] - b[2]) * (b[3] - b[1]), b[1], b[0]))
