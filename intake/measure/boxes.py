"""A plain opaque box behind the art of an otherwise transparent picture, seen on the small picture."""

from __future__ import annotations

import cv2
import numpy as np

from intake.facts import Background, Place
from intake.measure.bytewise import Bytes, at_least

LEAST_SHARE = 0.02  # of the canvas
FILLED = 0.985  # of its own bounding box must be opaque
PLAIN_RING = 0.90  # of the pixels along its inner edge must agree
PLAIN_LEAST, PLAIN_MOST = 0.20, 0.985  # of the box must be plain; a box all of one colour is the art itself
TOLERANCE = 12


def box_behind(picture: Bytes, width_mm: float, height_mm: float) -> Background | None:
    """The plain boxes found, as one Background; None when there is none."""
    opaque = np.ascontiguousarray(at_least(np.ascontiguousarray(picture[..., 3]), 250))
    number, _, stats, _ = cv2.connectedComponentsWithStats(opaque, connectivity=4)
    rows, columns = opaque.shape
    boxes = []
    for x, y, w, h, area in stats[1:number]:
        if area < LEAST_SHARE * opaque.size or min(w, h) < 12 or area < FILLED * w * h:
            continue
        plain = _plain_colour(picture[y : y + h, x : x + w, :3])
        if plain is not None:
            boxes.append((int(area), (int(x), int(y), int(w), int(h)), plain))
    if not boxes:
        return None
    boxes.sort(reverse=True)
    sx, sy = width_mm / columns, height_mm / rows
    return Background(
        colour=boxes[0][2],
        share=sum(b[0] for b in boxes) / opaque.size,
        is_opaque_canvas=False,
        places=tuple(Place(x * sx, y * sy, w * sx, h * sy) for _, (x, y, w, h), _ in boxes),
        confidence=0.8,
    )


def _plain_colour(box: Bytes) -> str | None:
    """'#rrggbb' of a box's plain ground, when its inner edge and enough of the rest are of one colour."""
    ring = np.concatenate([box[2], box[-3], box[2:-2, 2], box[2:-2, -3]]).astype(np.int16)
    colour = np.median(ring, axis=0)
    if (np.abs(ring - colour).max(axis=1) <= TOLERANCE).mean() < PLAIN_RING:
        return None
    share = (np.abs(box.astype(np.int16) - colour).max(axis=2) <= TOLERANCE).mean()
    if not PLAIN_LEAST <= share <= PLAIN_MOST:
        return None
    return "#{:02x}{:02x}{:02x}".format(*(int(v) for v in colour))
