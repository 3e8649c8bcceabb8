"""Cut marks: small crosses in the clear film at the corners of each piece's share of it."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.film.paging import FilmPage

MARK_MM = 0.25  # how thick a mark is: the thinnest that film carries safely (common practice)
ARM_MM = 1.5  # how far each arm of a cross reaches, where the gap allows it
_CLEAR_MM = 0.5  # of any art

Box4 = tuple[float, float, float, float]


def cut_marks(page: FilmPage, width_mm: float, gap_mm: float, others: Sequence[Box4] = ()) -> list[Box4]:
    """The arms of all crosses as boxes (x, y, width, height) in mm on the page.

    None touches a piece's box, or one of `others`: codes and labels. A cross stands half a gap outside each
    corner, where the cuts of neighbours meet.
    """
    arm_mm = min(ARM_MM, gap_mm / 2 - _CLEAR_MM)
    if arm_mm <= MARK_MM:
        return []
    boxes = [(p.x_mm, page.y_mm(p), p.x_mm + p.width_mm, page.y_mm(p) + p.height_mm) for p in page.pieces]
    corners: dict[tuple[int, int], tuple[float, float]] = {}
    for left, top, right, bottom in boxes:
        for x in (left - gap_mm / 2, right + gap_mm / 2):
            for y in (top - gap_mm / 2, bottom + gap_mm / 2):
                corners.setdefault((round(x * 2), round(y * 2)), (x, y))
    boxes += [(x, y, x + wide, y + long) for x, y, wide, long in others]
    reach = arm_mm + _CLEAR_MM
    return [
        arm
        for x, y in corners.values()
        if reach <= x <= width_mm - reach
        and reach <= y <= page.length_mm - reach
        and not any(_is_near(box, x, y, reach) for box in boxes)
        for arm in (
            (x - arm_mm, y - MARK_MM / 2, 2 * arm_mm, MARK_MM),
            (x - MARK_MM / 2, y - arm_mm, MARK_MM, 2 * arm_mm),
        )
    ]


def _is_near(box: Box4, x: float, y: float, reach: float) -> bool:
    left, top, right, bottom = box
    return left < x + reach and right > x - reach and top < y + reach and bottom > y - reach
