"""The picture of a repair: before, what would go (red) or come (green), and after."""

from __future__ import annotations

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


def picture_of_changes(
    before: Canvas, after: Canvas, at: tuple[int, int] = (0, 0), longest_px: int = 800
) -> Bytes:
    """Three panels side by side as opaque RGBA: before, the changes marked, after.

    `at` is where the left top pixel of `after` lies in `before`, in px.
    """
    gone, came = _changes(before, after, at)
    panels = [_shown(before.rgba, longest_px), _marked(before.rgba, gone, came, longest_px)]
    panels.append(_shown(after.rgba, longest_px))
    high = max(p.shape[0] for p in panels)
    wide = sum(p.shape[1] for p in panels) + 2 * _GAP_PX
    out = np.full((high, wide, 4), 255, np.uint8)
    left = 0
    for panel in panels:
        out[: panel.shape[0], left : left + panel.shape[1], :3] = panel
        left += panel.shape[1] + _GAP_PX
    return out


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
