"""From where an artwork has ink to the outlines that it is laid by, simplified outwards only."""

from __future__ import annotations

import math
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tickets.film.model import Ring

CELL_MM = 0.25  # finer than any cutter
JOIN_MM = 8.0  # ink nearer than this to other ink is one piece: nothing could lie between
AWAY_MM = 0.4  # how far an outline may stand off the ink to have fewer corners
MOST_CORNERS = 240
MOST_AREA = 0.97  # of the box: above this the box itself is as good


def outline_of_cells(
    cells: NDArray[np.uint8],
    cell_mm: tuple[float, float],
    size_mm: tuple[float, float],
) -> tuple[Ring, ...]:
    """The outlines around all ink of an artwork that is printed at this size, in mm from its top left.

    `cells`: 1 where there is any ink, rows from the top, each `cell_mm` wide and high. Holes are filled,
    islands nearer than `JOIN_MM` joined. () where the box serves as well, or there is no ink.
    """
    if not cells.any():
        return ()
    reach = max(1, math.ceil(JOIN_MM / 2 / min(cell_mm)))
    joined = _joined(np.pad(cells, reach + 2), reach)
    edge = cv2.dilate(joined, np.ones((3, 3), np.uint8))  # its centres lie outside of the ink's cells
    found, _ = cv2.findContours(edge, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    corners = [(ring[:, 0, :].astype(np.float64) - reach - 2 + 0.5) * cell_mm for ring in found]
    return _simplified(corners, *size_mm)


def _joined(ink: NDArray[np.uint8], reach: int) -> NDArray[np.uint8]:
    """Ink grown by so many cells and shrunk again (a closing by a disc, as two distance fields)."""
    away = cv2.distanceTransform(1 - ink, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    grown = np.asarray(away <= reach, np.uint8)
    inside = cv2.distanceTransform(grown, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return np.asarray((inside > reach) | (ink > 0), np.uint8)


def _simplified(corners: list[NDArray[np.float64]], width_mm: float, height_mm: float) -> tuple[Ring, ...]:
    import shapely

    ink: Any = shapely.union_all(
        [shapely.make_valid(shapely.Polygon(ring)) for ring in corners if len(ring) > 2]
    )
    page = shapely.box(0, 0, width_mm, height_mm)
    away_mm, outline = AWAY_MM, ink
    for _ in range(6):
        grown = shapely.simplify(shapely.buffer(outline, away_mm, join_style="mitre"), away_mm)
        outline = shapely.intersection(grown, page)
        if shapely.get_num_coordinates(outline) <= MOST_CORNERS:
            break
        away_mm *= 2
    else:
        outline = shapely.intersection(shapely.convex_hull(outline), page)  # specks all over
    is_sure = shapely.covers(shapely.buffer(outline, 1e-6), shapely.intersection(ink, page))
    if not is_sure or outline.area > MOST_AREA * page.area:
        return ()
    parts = [p for p in shapely.get_parts(outline) if p.geom_type == "Polygon"]
    return tuple(tuple((float(x), float(y)) for x, y in p.exterior.coords[:-1]) for p in parts)
