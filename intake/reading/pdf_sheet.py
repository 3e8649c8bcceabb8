"""The visible page of a PDF: its boxes, turn and unit, and the way from them to upright points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pikepdf

from intake.reading.pdf_matrix import Box, Matrix
from intake.reading.pdf_values import inherited, number, numbers

LETTER = Box(0.0, 0.0, 612.0, 792.0)  # what viewers take for a page without a usable box
_LEAST_POINTS = 1e-3


@dataclass(frozen=True, slots=True)
class Sheet:
    """The visible page: `box` in user space, and the way from there to upright points of 1/72 inch.

    `to_points` leads to coordinates from the top left, y downwards, UserUnit and Rotate applied.
    """

    box: Box
    rotate: int
    user_unit: float
    box_name: str
    width_pt: float
    height_pt: float
    to_points: Matrix

    @property
    def frame(self) -> Box:
        """The page in upright points."""
        return Box(0.0, 0.0, self.width_pt, self.height_pt)


def sheet_of(page: pikepdf.Page, media: Box | None = None) -> Sheet:
    """The visible sheet: CropBox ∩ MediaBox, turned by Rotate, times UserUnit (ISO 32000-1 14.11.2).

    `media`: the MediaBox where it is known better than the page object has it.
    """
    media = media or box_of(inherited(page.obj, "/MediaBox"))
    name = "MediaBox" if media else "Letter"
    box = media or LETTER
    crop = box_of(inherited(page.obj, "/CropBox"))
    if crop and not _is_flat(shown := crop.cut(box)) and shown != box:
        box, name = shown, "CropBox"
    rotate = int(number(inherited(page.obj, "/Rotate"), 0.0) // 90) % 4 * 90
    unit = number(page.obj.get("/UserUnit"), 1.0)
    unit = unit if unit > 0 else 1.0
    wide, high = (box.x1 - box.x0) * unit, (box.y1 - box.y0) * unit
    if rotate in (90, 270):
        wide, high = high, wide
    return Sheet(box, rotate, unit, name, wide, high, _upright(box, rotate, unit))


def _upright(box: Box, rotate: int, unit: float) -> Matrix:
    if rotate == 90:
        return Matrix(0, unit, unit, 0, -box.y0 * unit, -box.x0 * unit)
    if rotate == 180:
        return Matrix(-unit, 0, 0, unit, box.x1 * unit, -box.y0 * unit)
    if rotate == 270:
        return Matrix(0, -unit, -unit, 0, box.y1 * unit, box.x1 * unit)
    return Matrix(unit, 0, 0, -unit, -box.x0 * unit, box.y1 * unit)


def box_of(value: Any) -> Box | None:
    """The box of a PDF array, corners put in order; None without four numbers or without extent."""
    corners = numbers(value, 4)
    if corners is None:
        return None
    x0, y0, x1, y1 = corners
    box = Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
    return None if _is_flat(box) else box


def _is_flat(box: Box) -> bool:
    return box.x1 - box.x0 < _LEAST_POINTS or box.y1 - box.y0 < _LEAST_POINTS
