"""Trim empty margins: the canvas becomes as large as the ink, printed at the ordered size."""

from __future__ import annotations

import cv2

from intake.facts import Place
from intake.measure.bytewise import at_least
from intake.repairs import wording
from intake.repairs.canvas import INKED, Canvas, Mended, Wishes

NAME = "trim"
MENDS = "margins"
DOES = "cuts the empty margins off, so that the art itself has the ordered size"


def mend(canvas: Canvas, _wishes: Wishes) -> Mended | None:
    """The canvas cut to its ink; None when the ink fills it, or there is none. No pixel of ink changes."""
    x, y, wide, high = cv2.boundingRect(at_least(canvas.cover(), INKED))
    if not wide or (wide, high) == canvas.size_px:
        return None
    cut = canvas.cropped((x, y, x + wide, y + high))
    mm = canvas.mm_per_px
    width, height = canvas.size_px
    margins = (x * mm, y * mm, (width - x - wide) * mm, (height - y - high) * mm)
    size = (wide * cut.mm_per_px, high * cut.mm_per_px)
    return Mended(cut, wording.trimmed(margins, size), (Place(x * mm, y * mm, wide * mm, high * mm),))
