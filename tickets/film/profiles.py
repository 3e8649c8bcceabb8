"""What a piece with half the gap round it looks like from either end of the roll, column by column."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickets.film.lots import TINY_MM, Stance
from tickets.film.model import Shape

Steps = NDArray[np.uint16]

COLUMN_MM = 1.0
STEP_MM = 0.25  # along the roll
MOST_STEPS = 60_000  # 15 m: what 16 bits hold, with room for sums
FINE = 4  # fine columns in one, where outlines are followed


@dataclass(frozen=True, slots=True)
class Profile:
    """A piece and half the gap round it, in columns of 1 mm and steps of 0.25 mm along the roll.

    `near`: how far from the start of its box the piece begins in each column; `far`: where it ends. Rounded
    so that the piece is never larger than what they enclose. `area`: within them, in columns × steps.
    """

    near: Steps
    far: Steps

    @property
    def columns(self) -> int:
        """How wide it is."""
        return len(self.near)

    @property
    def area(self) -> int:
        """How much film it takes for itself."""
        return int(self.far.astype(np.int64).sum() - self.near.astype(np.int64).sum())


def profile_of(shape: Shape, stance: Stance, gap_mm: float) -> Profile:
    """The profile of one piece as it lies; a shape without outlines is its box."""
    columns = math.ceil((stance.across_mm + gap_mm - TINY_MM) / COLUMN_MM)
    deepest = math.ceil((stance.along_mm + gap_mm - TINY_MM) / STEP_MM)
    if not shape.rings:
        return Profile(np.zeros(columns, np.uint16), np.full(columns, deepest, np.uint16))
    near_mm, far_mm = _grown(*_envelope(shape, stance, gap_mm, columns * FINE), gap_mm / 2)
    near = np.floor(near_mm.reshape(columns, FINE).min(axis=1) / STEP_MM)
    far = np.ceil(far_mm.reshape(columns, FINE).max(axis=1) / STEP_MM)
    is_bare = far < near
    near[is_bare] = far[is_bare] = deepest / 2
    return Profile(
        np.clip(near, 0, deepest).astype(np.uint16),
        np.clip(far, 0, deepest).astype(np.uint16),
    )


def row_of(profile: Profile, stance: Stance, gap_mm: float, copies: int) -> Profile:
    """So many pieces side by side, a gap between: their pitch is exact, only the whole is rounded up."""
    pitch = (stance.across_mm + gap_mm) / COLUMN_MM
    columns = math.ceil(pitch * copies - TINY_MM)
    near = np.full(columns, 65_535, np.uint16)
    far = np.zeros(columns, np.uint16)
    for number in range(copies):
        for first in {math.floor(number * pitch + TINY_MM), math.ceil(number * pitch - TINY_MM)}:
            part = slice(first, min(first + profile.columns, columns))
            width = part.stop - first
            near[part] = np.minimum(near[part], profile.near[:width])
            far[part] = np.maximum(far[part], profile.far[:width])
    return Profile(near, far)


def _envelope(
    shape: Shape, stance: Stance, gap_mm: float, columns: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where the outlines begin and end in each fine column, the box moved in by half a gap."""
    near, far = np.full(columns, np.inf), np.full(columns, -np.inf)
    wide = COLUMN_MM / FINE
    for ring in shape.rings:
        points = np.asarray(ring, dtype=np.float64)
        if stance.turned:
            points = np.column_stack((shape.height_mm - points[:, 1], points[:, 0]))
        points = points + gap_mm / 2
        xs, ys = _crossings(points, wide)
        for shift in (-TINY_MM, TINY_MM):  # a point between two columns belongs to both
            at = np.clip(np.floor(xs / wide + shift).astype(np.intp), 0, columns - 1)
            np.minimum.at(near, at, ys)
            np.maximum.at(far, at, ys)
    return near, far


def _crossings(points: NDArray[np.float64], wide: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The corners of an outline, and where its edges cross from column to column."""
    ends = np.roll(points, -1, axis=0)
    xs, ys = [points[:, 0]], [points[:, 1]]
    for (x, y), (u, v) in zip(points, ends, strict=True):
        borders = np.arange(math.ceil(min(x, u) / wide), math.floor(max(x, u) / wide) + 1) * wide
        if abs(u - x) > TINY_MM and len(borders):
            xs.append(borders)
            ys.append(y + (v - y) * (borders - x) / (u - x))
    return np.concatenate(xs), np.concatenate(ys)


def _grown(
    near: NDArray[np.float64], far: NDArray[np.float64], reach_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Both ends moved out as by a disc of this radius, never by less: two columns' nearest points count."""
    wide = COLUMN_MM / FINE
    most = math.floor(reach_mm / wide) + 1
    grown_near, grown_far = near.copy(), far.copy()
    for offset in range(-most, most + 1):
        between = max(0, abs(offset) - 1) * wide
        rise = math.sqrt(max(0.0, reach_mm**2 - between**2))
        here = slice(max(0, offset), len(near) + min(0, offset))
        there = slice(max(0, -offset), len(near) + min(0, -offset))
        np.minimum(grown_near[here], near[there] - rise, out=grown_near[here])
        np.maximum(grown_far[here], far[there] + rise, out=grown_far[here])
    return grown_near, grown_far
