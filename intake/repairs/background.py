"""Remove a plain background box: flooded from the outside, the anti-aliased rim un-mixed from it."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.boxes import box_behind
from intake.measure.bytewise import Bytes, at_least, at_most, block, channel, count, grown
from intake.measure.inks import InkCoverage
from intake.measure.survey import Ground
from intake.repairs import wording
from intake.repairs.canvas import INKED, Canvas, Mended, Wishes, canvas_of, places_of

NAME = "background"
MENDS = "background"
DOES = "takes a plain ground behind the art away, from the outside in"
_RIM_PX = 2  # an anti-aliased rim is at most two pixels deep at any angle …
_LOSSY_RIM_PX = 4  # … compression smears it
_GROUND, _LOSSY_GROUND = 12, 64  # coverage up to which a pixel is ground


def mend(canvas: Canvas, wishes: Wishes) -> Mended | None:
    """The canvas without its plain ground, or without the boxes in it; None when there is none.

    Ground that ink encloses stays, unless `wishes.takes_enclosed`. No pixel gains coverage.
    """
    if canvas.is_opaque:
        return _from_whole(canvas, wishes) if canvas.ground is not None else None
    width, height = canvas.size_px
    mm = canvas.mm_per_px
    found = box_behind(canvas.rgba, width * mm, height * mm)
    if found is None:
        return None
    out = canvas.rgba.copy()
    for place in found.places:
        left, top = round(place.x_mm / mm), round(place.y_mm / mm)
        right, bottom = left + round(place.width_mm / mm), top + round(place.height_mm / mm)
        _take_box(out, (left, top, right, bottom), canvas, wishes)
    gone = np.where(out[..., 3] < canvas.rgba[..., 3], 255, 0).astype(np.uint8)
    if not count(gone):
        return None
    says = wording.background_gone(found.colour, count(gone) / gone.size, 0, wishes.takes_enclosed)
    return Mended(canvas.with_pixels(out), says, found.places)


def _from_whole(canvas: Canvas, wishes: Wishes) -> Mended | None:
    assert canvas.ground is not None
    out, enclosed = cut_out(canvas, canvas.ground, wishes.takes_enclosed)
    gone = at_most(channel(out, 3), INKED - 1)
    if not count(gone):
        return None
    share = count(gone) / gone.size
    says = wording.background_gone(canvas.ground.name, share, enclosed, wishes.takes_enclosed)
    return Mended(canvas.with_pixels(out), says, places_of(gone, canvas.mm_per_px))


def cut_out(canvas: Canvas, ground: Ground, takes_enclosed: bool) -> tuple[Bytes, int]:
    """An opaque picture on a clear ground, and how many enclosed parts of ground colour it still holds."""
    cover = InkCoverage(ground, canvas.lossy).of(canvas.rgba)
    clear = at_most(cover, _LOSSY_GROUND if canvas.lossy else _GROUND)
    number, labels = cv2.connectedComponents(clear, connectivity=4)
    is_open = np.zeros(number, bool)
    for edge in (labels[0], labels[-1], labels[:, 0], labels[:, -1]):
        is_open[np.unique(edge)] = True
    if takes_enclosed:
        is_open[:] = True
    is_open[0] = False
    outside = np.where(is_open[labels], 255, 0).astype(np.uint8)
    rim = _LOSSY_RIM_PX if canvas.lossy else _RIM_PX
    near = grown(outside, block(2 * rim + 1)) != 0
    alpha = np.where(outside != 0, 0, np.where(near & (clear == 0), cover, 255)).astype(np.uint8)
    alpha = _without_haze(alpha, canvas.lossy)
    areas = np.bincount(labels.ravel(), minlength=number)
    still = int((~is_open[1:] & (areas[1:] >= 9)).sum())
    out = canvas.rgba.copy()
    mixed = (alpha > 0) & (alpha < 255)
    out[mixed, :3] = unmixed(out[mixed, :3], alpha[mixed], ground)
    out[..., 3] = alpha
    return out, still


def unmixed(colours: Bytes, alpha: Bytes, ground: Ground) -> Bytes:
    """The ink in mixtures with the ground: c = a·ink + (1 − a)·ground, solved for the ink."""
    share = np.maximum(alpha.astype(np.float32), 1.0)[:, None] / 255.0
    under = np.array(ground.colour, np.float32)
    ink = (colours.astype(np.float32) - (1.0 - share) * under) / share
    return np.asarray(np.rint(np.clip(ink, 0, 255)), np.uint8)


def _without_haze(alpha: Bytes, lossy: bool) -> Bytes:
    """Alpha without the ringing that lossy compression leaves apart from any ink."""
    if not lossy:
        return alpha
    number, labels = cv2.connectedComponents(at_least(alpha, INKED), connectivity=8)
    holds_ink = np.bincount(labels.ravel(), (alpha >= 128).ravel(), number) > 0
    return np.where(holds_ink[labels], alpha, 0).astype(np.uint8)


def _take_box(out: Bytes, box: tuple[int, int, int, int], canvas: Canvas, wishes: Wishes) -> None:
    """Cut one opaque box of `out` out of its ground, with its own anti-aliased edge."""
    left, top, right, bottom = box
    inner = np.ascontiguousarray(out[top:bottom, left:right])
    part = canvas_of(inner, canvas.mm_per_px, lossy=canvas.lossy)
    if part.ground is None:
        return
    cut, _ = cut_out(replace(part), part.ground, wishes.takes_enclosed)
    out[top:bottom, left:right] = cut
    y0, x0 = max(top - _RIM_PX, 0), max(left - _RIM_PX, 0)
    ring = out[y0 : bottom + _RIM_PX, x0 : right + _RIM_PX]
    edge = np.ones(ring.shape[:2], bool)
    edge[top - y0 : bottom - y0, left - x0 : right - x0] = False
    ring[edge & _is_ground(ring, part.ground), 3] = 0


def _is_ground(rgba: Bytes, ground: Ground) -> NDArray[np.bool_]:
    away = np.abs(rgba[..., :3].astype(np.int16) - np.array(ground.colour, np.int16)).max(axis=2)
    return np.asarray(away <= 2 * ground.tolerance, np.bool_)
