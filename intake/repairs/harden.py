"""Harden soft edges: shadows, glows and faded edges end at a level, with a rim of one pixel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes, block, count, grown
from intake.measure.softness import semi_mask, soft_mask
from intake.repairs import wording
from intake.repairs.canvas import Canvas, Mended, Wishes, places_of

NAME = "harden"
MENDS = "soft"
DOES = "makes half transparent parts solid from a level on and clear below it"
_REACH = 3  # px around the soft parts that are looked at too: the foot of a blurred edge


def mend(canvas: Canvas, wishes: Wishes) -> Mended | None:
    """The canvas without truly semi-transparent ink; None when it has none. Anti-aliased rims stay."""
    if canvas.is_opaque:
        return None
    cover = canvas.cover()
    soft = soft_mask(cover, semi_mask(cover))
    if soft is None or not count(soft):
        return None
    hard = harden(cover, wishes.level)
    before, after = float(cover.sum()), float(hard.sum())
    out = canvas.rgba.copy()
    out[..., 3] = hard
    says = wording.hardened(count(soft) * canvas.mm_per_px**2, wishes.level / 255, (after - before) / before)
    return Mended(canvas.with_pixels(out), says, places_of(soft, canvas.mm_per_px))


def harden(cover: Bytes, level: int = 128) -> Bytes:
    """Coverage with no truly soft part left; where nothing was inked nothing is, and rims are left alone."""
    for _ in range(2):
        soft = soft_mask(cover, semi_mask(cover))
        if soft is None or not count(soft):
            return cover
        near = grown(soft, block(2 * _REACH + 1)) != 0
        sharp = np.where(near, _sharpened(cover, level), cover)
        cover = np.where((cover == 0) | (cover == 255), cover, sharp).astype(np.uint8)
        level = 128  # what was brought to an outline keeps it
    while (soft := soft_mask(cover, semi_mask(cover))) is not None and count(soft):
        cover = np.where(soft != 0, np.where(cover >= level, 255, 0), cover).astype(np.uint8)
    return cover


def _sharpened(cover: Bytes, level: int) -> NDArray[np.float32]:
    """Coverage of the area above the level: by the distance to its outline, taken from value and slope."""
    value = np.pad(cover.astype(np.float32), 1, mode="edge")
    inner = value[1:-1, 1:-1]
    across = np.maximum(abs(value[1:-1, 2:] - inner), abs(inner - value[1:-1, :-2]))
    down = np.maximum(abs(value[2:, 1:-1] - inner), abs(inner - value[:-2, 1:-1]))
    slope = np.maximum(np.hypot(across, down), 1e-3)
    return np.asarray(np.rint(np.clip(0.5 + (inner - level) / slope, 0.0, 1.0) * 255.0), np.float32)
