"""Thicken lines: ink grows along the middle of strokes that are thinner than the limit, up to it."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes, above, at_least, higher_of, highest, inverse, shrunk
from intake.measure.runs import NECK, STROKE, classify
from intake.measure.scale import Scale, scale_of
from intake.measure.tracks import Tracks, leads_of, track
from intake.measure.windows import Window
from intake.repairs import wording
from intake.repairs.background import unmixed
from intake.repairs.canvas import Canvas, Mended, Wishes, places_of
from intake.repairs.looking import Look, is_screened, looks_at

NAME = "thicken"
MENDS = "line-width"
DOES = "grows lines that are thinner than the limit up to it, by as much as is missing"
_AT_ONCE = 20_000
_FINE = 4  # lines are drawn at so many times the resolution
_PASSES_MORE_PX = (0.0, 0.35, 0.8, 1.4)  # what is still measured as thin grows a little more in the next pass
_UNDER_MM = 0.005  # lengths are told to 0.01 mm: what rounds to the limit is none under it


def mend(canvas: Canvas, wishes: Wishes) -> Mended | None:
    """The canvas with its thin strokes and necks at the limit; None when there are none, or when the art is a
    screen. Ink grows only within the places told; no pixel loses coverage; tips stay as they are.
    """
    scale = scale_of(canvas.mm_per_px, wishes.ask)
    before = canvas.cover()
    if is_screened(before, scale):
        return None
    cover = before
    for more in _PASSES_MORE_PX:
        lines = _grown_lines(cover, scale, more, canvas.mm_per_px)
        if lines is None:
            break
        cover = higher_of(cover, lines)
    added = above(cover, before)
    if not added.any():
        return None
    mm = canvas.mm_per_px
    area = float((cover.astype(np.int32) - before).sum()) / 255 * mm * mm
    says = wording.thickened(wishes.ask.line_mm, area)
    return Mended(_with_ink(canvas, before, cover), says, places_of(added, mm))


def _grown_lines(cover: Bytes, scale: Scale, more_px: float, mm_per_px: float) -> Bytes | None:
    """Coverage of strokes as wide as the limit along everything thinner; None when nothing is."""
    out = np.zeros_like(cover)
    pad, width = scale.halo_px, cover.shape[1]
    has_any = False
    for look in looks_at(cover, scale):
        drawn = None
        for thin in _thin_tracks(look, scale, mm_per_px):
            drawn = _draw(drawn, look.window, thin, scale.ink.limit_px, more_px)
        if drawn is None:
            continue
        has_any = True
        first, last = look.window.top - pad, look.window.bottom + pad
        top, bottom = max(first, 0), min(last, cover.shape[0])
        lines = shrunk(drawn, look.window.cover.shape[1], look.window.cover.shape[0])
        part = lines[top - first : bottom - first, pad : pad + width]
        out[top:bottom] = higher_of(np.ascontiguousarray(out[top:bottom]), np.ascontiguousarray(part))
    return out if has_any else None


def _thin_tracks(look: Look, scale: Scale, mm_per_px: float) -> Iterator[Tracks]:
    """The tracks along strokes and necks that the check would name, some thousands at a time."""
    cover, side = look.window.cover, scale.ink
    leads = leads_of(cover, None, look.seeds, side)
    limit_px = side.limit_px - _UNDER_MM / mm_per_px
    for start in range(0, len(leads), _AT_ONCE):
        tracks = track(cover, leads.where(np.arange(start, min(start + _AT_ONCE, len(leads)))), side)
        found = classify(cover, tracks, side)
        wanted = np.isin(found.kind, (STROKE, NECK)) & (found.value < limit_px)
        seeds = set(zip(found.x[wanted].tolist(), found.y[wanted].tolist(), strict=True))
        own = zip(tracks.x[tracks.steps].tolist(), tracks.y[tracks.steps].tolist(), strict=True)
        named = np.flatnonzero([seed in seeds for seed in own])
        if len(named):
            yield tracks.where(named)


def _draw(fine: Bytes | None, window: Window, thin: Tracks, limit_px: float, more_px: float) -> Bytes:
    """Lines of the limit's width along the tracks, as far as they are thin, on a finer grid."""
    rows, columns = window.cover.shape
    if fine is None:
        fine = np.zeros((rows * _FINE, columns * _FINE), np.uint8)
    thickness = max(1, ceil((limit_px + more_px) * _FINE + 0.5))
    with np.errstate(invalid="ignore"):
        is_thin = np.isfinite(thin.width) & np.isfinite(thin.x) & (thin.width < limit_px + more_px)
    is_thin[thin.steps] = True
    lines = [
        np.stack([thin.x[first:last, k], thin.y[first:last, k]], axis=1)
        for k in range(thin.x.shape[1])
        for first, last in [_run_around(is_thin[:, k], thin.steps)]
    ]
    points = [np.rint((line + 0.5) * _FINE - 0.5).astype(np.int32).reshape(-1, 1, 2) for line in lines]
    cv2.polylines(fine, points, False, 255, thickness)
    return fine


def _run_around(is_thin: NDArray[np.bool_], middle: int) -> tuple[int, int]:
    """The first and the last row (beyond it) of the run of True around the middle."""
    first, last = middle, middle + 1
    while first > 0 and is_thin[first - 1]:
        first -= 1
    while last < len(is_thin) and is_thin[last]:
        last += 1
    return first, last


def _with_ink(canvas: Canvas, before: Bytes, after: Bytes) -> Canvas:
    """The canvas under more coverage; what grew has the colour of the nearest ink."""
    ink = canvas.rgba[..., :3]
    if canvas.ground is not None:
        mixed = (before > 0) & (before < 255)
        ink = ink.copy()
        ink[mixed] = unmixed(ink[mixed], before[mixed], canvas.ground)
    colour = _nearest_ink(ink, before, after)
    out = canvas.rgba.copy()
    grew = after > before
    if canvas.ground is None:
        out[grew, :3] = colour[grew]
        out[..., 3] = after
        return canvas.with_pixels(out)
    was, now = (cover[grew].astype(np.float32)[:, None] for cover in (before, after))
    share = (now - was) / (255.0 - was)  # of what is not ink yet
    old = canvas.rgba[grew, :3].astype(np.float32)
    out[grew, :3] = np.rint(old + share * (colour[grew] - old)).astype(np.uint8)
    return canvas.with_pixels(out)


def _nearest_ink(ink: Bytes, before: Bytes, after: Bytes) -> Bytes:
    """For every pixel that grew the colour of the nearest pixel of full or locally fullest ink."""
    fullest = (before >= 128) | ((before >= 40) & (before == highest(before)))
    solid = np.where(fullest, 255, 0).astype(np.uint8)
    _, labels = cv2.distanceTransformWithLabels(
        inverse(solid), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    colours = np.zeros((int(labels.max()) + 1, 3), np.uint8)
    colours[labels[solid != 0]] = ink[solid != 0]
    out = ink.copy()
    grew = at_least(above(after, before), 1) != 0
    out[grew] = colours[labels[grew]]
    return out
