"""Where the code of each piece is printed: in the clear film beside it, touching no ink and no other code."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickets.film.model import RunPiece
from tickets.film.paging import FilmPage

CAP_MM = 2.0  # height of the code's letters where there is room: read at arm's length (common practice)
LEAST_CAP_MM = 1.4
OFF_MM = 1.5  # beside the piece's own box, so that cutting along the ink trims it off
NEAR_MM = 0.6  # never nearer than this to anything
OVER = 0.05  # round letters reach so much above the others, in heights of these
DEEP = 1.33  # with that, and the tail of a Q or J below the base line
_ASIDE_MM = 4.0  # a place beside the box is tried every so many mm


Box4 = tuple[float, float, float, float]  # x, y, width, height


@dataclass(frozen=True, slots=True)
class CodePlace:
    """Where a code stands on its page: the box of its ink in mm, and the height of its letters.

    `upwards`: it is read from bottom to top, along the left or right of its piece.
    """

    piece: RunPiece
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    cap_mm: float
    upwards: bool

    @property
    def box(self) -> Box4:
        """The box of its ink."""
        return self.x_mm, self.y_mm, self.width_mm, self.height_mm

    @property
    def base(self) -> tuple[float, float]:
        """Where its base line begins."""
        if self.upwards:
            return self.x_mm + (1 + OVER) * self.cap_mm, self.y_mm + self.height_mm
        return self.x_mm, self.y_mm + (1 + OVER) * self.cap_mm


def code_places(
    page: FilmPage, width_mm: float, widths: Mapping[RunPiece, float], labels: Sequence[Box4] = ()
) -> tuple[list[CodePlace], list[RunPiece]]:
    """A place for each piece's code on a page of film `width_mm` wide; and the pieces that have none.

    `widths`: of each piece's code, in heights of its letters. `labels`: where the run's labels stand.
    """
    boxes = np.array(
        [(p.x_mm, page.y_mm(p), p.x_mm + p.width_mm, page.y_mm(p) + p.height_mm) for p in page.pieces],
        np.float64,
    ).reshape(-1, 4)
    taken = boxes.tolist()
    film = (0.0, 0.0, width_mm, page.length_mm)
    found, without = [], []
    there = np.vstack([boxes, np.array([_corners(label) for label in labels]).reshape(-1, 4)])
    occupied = _Occupied(there, len(page.pieces))
    for piece, box in zip(page.pieces, taken, strict=True):
        for place in _candidates(piece, box, widths[piece]):
            if _is_inside(place, film) and occupied.is_clear(place):
                occupied.take(place)
                found.append(place)
                break
        else:
            without.append(piece)
    return found, without


class _Occupied:
    """The boxes that nothing may come near to."""

    def __init__(self, boxes: NDArray[np.float64], codes: int) -> None:
        self._boxes = np.full((len(boxes) + codes, 4), np.inf)
        self._boxes[: len(boxes)] = boxes
        self._count = len(boxes)

    def is_clear(self, place: CodePlace) -> bool:
        """Whether a place keeps clear of all that is there."""
        there = self._boxes[: self._count]
        right, bottom = place.x_mm + place.width_mm + NEAR_MM, place.y_mm + place.height_mm + NEAR_MM
        meets = (there[:, 0] < right) & (there[:, 2] > place.x_mm - NEAR_MM)
        meets &= (there[:, 1] < bottom) & (there[:, 3] > place.y_mm - NEAR_MM)
        return not meets.any()

    def take(self, place: CodePlace) -> None:
        """Nothing else comes there."""
        self._boxes[self._count] = (
            place.x_mm,
            place.y_mm,
            place.x_mm + place.width_mm,
            place.y_mm + place.height_mm,
        )
        self._count += 1


def _corners(box: Box4) -> Box4:
    x, y, width, height = box
    return x, y, x + width, y + height


def _is_inside(place: CodePlace, film: Sequence[float]) -> bool:
    is_across = place.x_mm >= film[0] and place.x_mm + place.width_mm <= film[2]
    return is_across and place.y_mm >= film[1] and place.y_mm + place.height_mm <= film[3]


def _candidates(piece: RunPiece, box: Sequence[float], width: float) -> Iterator[CodePlace]:
    left, top, right, bottom = box
    for cap_mm, off_mm in ((CAP_MM, OFF_MM), (CAP_MM, NEAR_MM + 0.05), (LEAST_CAP_MM, NEAR_MM + 0.05)):
        long_mm, deep_mm = width * cap_mm, DEEP * cap_mm
        for x in _along(left, right, long_mm):
            for y in (bottom + off_mm, top - off_mm - deep_mm):
                yield CodePlace(piece, x, y, long_mm, deep_mm, cap_mm, False)
        for y in _along(top, bottom, long_mm):
            for x in (right + off_mm, left - off_mm - deep_mm):
                yield CodePlace(piece, x, y, deep_mm, long_mm, cap_mm, True)


def _along(start: float, end: float, long_mm: float) -> Iterator[float]:
    """Where a code may begin along one side: at its start, then further on; centred where it is longer."""
    room = end - start - long_mm
    if room <= 0:
        yield from (start, start + room / 2, start + room)
        return
    at = start
    while at <= start + room:
        yield at
        at += _ASIDE_MM
