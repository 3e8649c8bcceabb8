"""What the ink on a film page should be, and how what was drawn differs: arithmetic on pictures of 72 ppi."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.shrunk import premultiplied

Picture = NDArray[np.uint8]  # premultiplied RGBA
Box4 = tuple[float, float, float, float]  # x, y, width, height
_ROUND = 3  # px of clear ground round a window
_FAINT = 8  # of 255: less ink than this is a rounding
_INNER_PX = 7  # so far from the rim colours must be right to the rounding
_BLUR_PX = 5
_BETWEEN = 0.02  # px: PDFium counts in single precision, and pages are 14,000 points long


@dataclass(frozen=True, slots=True)
class Lies:
    """How a piece lies: turned by 90° clockwise, after it was mirrored."""

    turned: bool
    mirrored: bool


@dataclass(frozen=True, slots=True)
class Window:
    """A part of the page: its left and top px on it, and the picture that should be there.

    `in_blocks`: each px of the artwork is a block of many on the page, unsmoothed.
    """

    left: int
    top: int
    picture: Picture
    in_blocks: bool = False

    def cut(self, width: int, height: int) -> Window:
        """The part of it that lies on a page of so many px."""
        left, top = max(0, self.left), max(0, self.top)
        cut = self.picture[top - self.top : height - self.top, left - self.left : width - self.left]
        return replace(self, left=left, top=top, picture=cut)


@dataclass(frozen=True, slots=True)
class Difference:
    """How a drawn piece differs: ink drawn ÷ expected, its middle moved in px, and colours in steps of 255.

    `colour`: away from rims, blurred a little; `mean`: of the whole piece; `rim`: anywhere, blurred.
    """

    ink: float
    across_px: float
    down_px: float
    colour: float
    mean: float
    rim: float


def expected(small: Picture, box_px: Box4, lies: Lies) -> Iterator[Window]:
    """An image as it should come out on the page: `small` has about two px for each of the page's.

    `box_px`: on the page, with fractions. PDFium draws an image over all px that its box touches; where an
    edge lies between two px, it may count to either, so there is more than one window that is right. What is
    enlarged it smooths, save where it is enlarged very much: then each px of the image is a block.
    """
    seen = small[:, ::-1] if lies.mirrored else small
    seen = np.ascontiguousarray(np.rot90(seen, -1) if lies.turned else seen)
    for box in _touched(box_px):
        yield _stretched(seen, box, cv2.INTER_LINEAR)
        if 2 * seen.shape[1] < box[2]:
            yield replace(_stretched(seen, box, cv2.INTER_NEAREST), in_blocks=True)


def _stretched(seen: Picture, box: tuple[int, int, int, int], smoothing: int) -> Window:
    x, y, wide, high = box
    left, top = x - _ROUND, y - _ROUND
    size = (wide + 2 * _ROUND, high + 2 * _ROUND)
    across, down = seen.shape[1] / (2 * wide), seen.shape[0] / (2 * high)
    # The middle of px p of the window, at twice its fineness, is at (p + 0.5) / 2 + left on the page.
    shift = 0.5 - 2 * _ROUND
    matrix = np.array([[across, 0, shift * across - 0.5], [0, down, shift * down - 0.5]])
    flags = smoothing | cv2.WARP_INVERSE_MAP
    fine_size = (2 * size[0], 2 * size[1])
    fine = cv2.warpAffine(seen, matrix, fine_size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
    clear, inside = np.zeros_like(fine), slice(2 * _ROUND, -2 * _ROUND)
    clear[inside, inside] = fine[inside, inside]
    picture = cv2.resize(clear, size, interpolation=cv2.INTER_AREA).astype(np.uint8, copy=False)
    return Window(left, top, premultiplied(picture))


def support(window: Window, reach_px: int) -> NDArray[np.bool_]:
    """Where the piece's own ink may be: where it should be, and so many px around."""
    ink = (window.picture[..., 3] > 0).astype(np.uint8)
    side = 2 * reach_px + 1
    grown: NDArray[np.bool_] = cv2.dilate(ink, np.ones((side, side), np.uint8)) > 0
    return grown


def difference(window: Window, own: NDArray[np.bool_], drawn: Picture) -> Difference:
    """How the page's picture there differs from the window's, looking only where the piece's own ink is."""
    wanted, mask = np.ascontiguousarray(window.picture), own.view(np.uint8)
    there = cv2.copyTo(np.ascontiguousarray(drawn), mask)
    before, after = _middle(wanted), _middle(there)
    if after is None or before is None:
        return Difference(1.0 if before is after else 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    side = (_BLUR_PX, _BLUR_PX)
    off = cv2.absdiff(cv2.blur(wanted, side), cv2.blur(there, side))
    solid = (wanted[..., 3] == 255).view(np.uint8)
    inner = cv2.erode(solid, np.ones((_INNER_PX, _INNER_PX), np.uint8), borderValue=0)
    sums = zip(cv2.sumElems(wanted)[:3], cv2.sumElems(there)[:3], strict=True)
    return Difference(
        ink=after[0] / before[0],
        across_px=after[1] - before[1],
        down_px=after[2] - before[2],
        colour=_most(off, inner),
        mean=max(abs(one - other) for one, other in sums) / max(before[0] / 255, 1.0),
        rim=_most(off, mask),
    )


def least_gap(owner: NDArray[np.uint16], reach_px: float) -> tuple[float, int, int]:
    """The least clear distance in px between ink of two owners (from 1; 0 is clear film), and whose it is.

    From the distance to the nearest ink: where the nearest changes from one owner to the other, the two
    distances add up to the way between them. (inf, 0, 0) where none is nearer than `reach_px`.
    """
    clear = (owner == 0).astype(np.uint8)
    if clear.all() or owner.max() == owner[owner > 0].min():
        return np.inf, 0, 0
    distance, nearest = cv2.distanceTransformWithLabels(clear, cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL)
    owners = np.zeros(int(nearest.max()) + 1, np.uint16)
    ink = owner > 0
    owners[nearest[ink]] = owner[ink]
    whose = owners[nearest]
    best = (np.inf, 0, 0)
    for axis in (0, 1):
        one, other = _beside(whose, axis)
        near, far = _beside(distance, axis)
        between = np.where(one != other, near + far, np.inf)
        at = int(between.argmin())
        found = float(between.flat[at])
        if found < min(best[0], reach_px):
            best = (found, int(one.flat[at]), int(other.flat[at]))
    return best


def _beside(values: NDArray[Any], axis: int) -> tuple[NDArray[Any], NDArray[Any]]:
    return (values[:-1], values[1:]) if axis == 0 else (values[:, :-1], values[:, 1:])


def _touched(box_px: Box4) -> Iterator[tuple[int, int, int, int]]:
    """The px that a box touches: x, y, width, height; each way that edges between two px may count."""
    x, y, wide, high = box_px
    sides = (_edges(x, math.floor), _edges(x + wide, math.ceil), _edges(y, math.floor))
    for left, right, top, bottom in product(*sides, _edges(y + high, math.ceil)):
        yield left, top, max(1, right - left), max(1, bottom - top)


def _edges(at: float, to_whole: Callable[[float], int]) -> list[int]:
    """The whole px of an edge: the likeliest first, both where it lies between two."""
    nearest = round(at)
    if abs(at - nearest) > _BETWEEN:
        return [to_whole(at)]
    return [nearest, nearest - 1 if to_whole is math.floor else nearest + 1]


def _most(off: cv2.typing.MatLike, mask: cv2.typing.MatLike) -> float:
    """The largest value of any channel under a mask."""
    return max(float(cv2.minMaxLoc(channel, mask)[1]) for channel in cv2.split(off))


def _middle(picture: cv2.typing.MatLike) -> tuple[float, float, float] | None:
    """The sum of the ink, and its middle across and down; None where there is none."""
    moments = cv2.moments(np.ascontiguousarray(picture[..., 3]))
    total = float(moments["m00"])
    if total < _FAINT:
        return None
    return total, moments["m10"] / total, moments["m01"] / total
