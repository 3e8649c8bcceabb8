"""The pictures of a repair: before, what would go (red) or come (green), and after; side by side or alone."""

from __future__ import annotations

from enum import StrEnum

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.repairs.canvas import INKED, Canvas

Mask = NDArray[np.bool_]
GONE, CAME = (214, 0, 96), (0, 150, 60)
CHECKERS = (255, 226)
_SQUARE_PX = 12
_GAP_PX = 16
_CLOSE_MM, _CLOSE_PX = 6.0, 480  # at least so much is seen in a close-up, at least so large
_CLOSE_SHARE = 0.4  # of the art's longer side: a larger close-up shows nothing that the whole does not
_SEEN = 24  # of 255: a lesser change of a pixel is not looked for


class View(StrEnum):
    """One picture of a repair."""

    BEFORE = "before"
    MARKED = "marked"
    AFTER = "after"
    CLOSE_BEFORE = "close_before"
    CLOSE_AFTER = "close_after"


def picture_of_changes(
    before: Canvas, after: Canvas, at: tuple[int, int] = (0, 0), longest_px: int = 800
) -> Bytes:
    """Three panels side by side as opaque RGBA: before, the changes marked, after.

    `at` is where the left top pixel of `after` lies in `before`, in px.
    """
    gone, came = _changes(before, after, at)
    marked = _marked(before.rgba, gone, came, longest_px)
    panels = [_shown(before.rgba, longest_px), marked, _shown(after.rgba, longest_px)]
    high = max(p.shape[0] for p in panels)
    wide = sum(p.shape[1] for p in panels) + 2 * _GAP_PX
    out = np.full((high, wide, 4), 255, np.uint8)
    left = 0
    for panel in panels:
        out[: panel.shape[0], left : left + panel.shape[1], :3] = panel
        left += panel.shape[1] + _GAP_PX
    return out


def views_of_changes(
    before: Canvas, after: Canvas, at: tuple[int, int] = (0, 0), longest_px: int = 800
) -> dict[View, Bytes]:
    """The same as pictures of their own, as opaque RGB; and the largest change from close by, if it is small.

    Nothing is marked when no pixel changes (colours that are only said in another way).
    """
    views = {View.BEFORE: _shown(before.rgba, longest_px), View.AFTER: _shown(after.rgba, longest_px)}
    placed = _placed(after, before.size_px, at)
    differs: Mask = np.asarray((cv2.absdiff(before.rgba, placed) > _SEEN).any(axis=2))
    if not differs.any():
        return views
    gone, came = _changes(before, after, at)
    if gone.any() or came.any():
        views[View.MARKED] = _marked(before.rgba, gone, came, longest_px)
    close = _close_box(differs, before)
    if close is not None:
        views[View.CLOSE_BEFORE] = _enlarged(before.rgba[close])
        views[View.CLOSE_AFTER] = _enlarged(placed[close])
    return views


def _placed(after: Canvas, size_px: tuple[int, int], at: tuple[int, int]) -> Bytes:
    """The repaired picture where it lies on the one before; nothing around it."""
    (x, y), (width, height) = at, after.size_px
    if (width, height) == size_px:
        return after.rgba
    out = np.zeros((size_px[1], size_px[0], 4), np.uint8)
    out[y : y + height, x : x + width] = after.rgba
    return out


def _close_box(differs: Mask, canvas: Canvas) -> tuple[slice, slice] | None:
    """Where to look closely: a square on the largest change; None where the whole shows it as well."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(differs.astype(np.uint8), connectivity=8)
    x, y, wide, high, _area = (int(v) for v in max(stats[1:], key=lambda row: int(row[4])))
    side = max(round(min(wide, high) * 1.6), round(_CLOSE_MM / canvas.mm_per_px), 8)
    width, height = canvas.size_px
    if side > _CLOSE_SHARE * max(width, height):
        return None
    left = min(max(0, x + wide // 2 - side // 2), max(0, width - side))
    top = min(max(0, y + high // 2 - side // 2), max(0, height - side))
    return np.s_[top : top + side, left : left + side]


def _enlarged(rgba: Bytes) -> Bytes:
    """Pixels shown as pixels, large enough to be seen."""
    factor = max(1, -(-_CLOSE_PX // max(rgba.shape[:2])))
    return _shown(np.ascontiguousarray(rgba.repeat(factor, axis=0).repeat(factor, axis=1)), 2 * _CLOSE_PX)


def _changes(before: Canvas, after: Canvas, at: tuple[int, int]) -> tuple[Mask, Mask]:
    """What would be printed no longer, and what would be printed newly."""
    x, y = at
    width, height = after.size_px
    inside = np.s_[y : y + height, x : x + width]
    cover, now = before.cover(), np.zeros(before.rgba.shape[:2], np.uint8)
    now[inside] = after.cover()
    is_other = np.ones(now.shape, bool)
    is_other[inside] = (before.rgba[inside] != after.rgba).any(axis=2)
    is_printed = before.rgba[..., 3] >= INKED  # of an opaque picture the ground too
    gone = is_printed & (now < INKED) & (is_other | (cover >= INKED))
    if after.is_opaque:
        gone = (now < INKED) & (cover >= INKED)
        gone[inside] &= is_other[inside]
    return gone, is_other & (now >= INKED) & (cover < INKED)


def _marked(rgba: Bytes, gone: Mask, came: Mask, longest_px: int) -> Bytes:
    """The art paled, with what goes and comes in plain colours; thin changes stay visible when shrunk."""
    shown = _shown(rgba, longest_px)
    out = (shown.astype(np.float32) * 0.35 + 255 * 0.65).astype(np.uint8)
    size = (out.shape[1], out.shape[0])
    for mask, colour in ((gone, GONE), (came, CAME)):
        share = np.asarray(cv2.resize(mask.astype(np.float32), size, interpolation=cv2.INTER_AREA))
        weight = np.clip(share * 3.0, 0.0, 0.85)[..., None]
        out = (out * (1 - weight) + np.array(colour, np.float32) * weight).astype(np.uint8)
    return out


def _shown(rgba: Bytes, longest_px: int) -> Bytes:
    """The art on checkers, at most so long."""
    factor = max(1.0, max(rgba.shape[:2]) / longest_px)
    size = (max(1, round(rgba.shape[1] / factor)), max(1, round(rgba.shape[0] / factor)))
    share = rgba[..., 3:].astype(np.float32) / 255.0
    premultiplied = np.concatenate([rgba[..., :3] * share, share], axis=2)
    small = np.asarray(cv2.resize(premultiplied, size, interpolation=cv2.INTER_AREA))
    rows, columns = np.indices((size[1], size[0])) // _SQUARE_PX
    ground = np.where((rows + columns) % 2 == 0, *CHECKERS).astype(np.float32)[..., None]
    return np.asarray(np.rint(np.clip(small[..., :3] + (1 - small[..., 3:]) * ground, 0, 255)), np.uint8)
