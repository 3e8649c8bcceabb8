"""A light or dark rim left by cutting out: rim pixels that are mixtures of the ink and an old ground."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.facts import Fringe, Place
from intake.measure.bytewise import at_least, channel, distance, inverse
from intake.measure.tiles import Tile

RIM_ALPHA = 64  # fainter rim pixels don't tell their colour
RIM_PX = 2.0  # how deep a rim is looked at; a wider border is drawn on purpose
OUTERMOST_PX = 1.45  # pixels that touch the clear: a cut too far out leaves them all ground
DEEP_PX, FARTHEST_PX = 3.6, 6.0
APART = 70.0  # the ink must differ so much from the old ground for a mixture to show
MIXED, ALL = 0.15, 0.85  # so much of the old ground in a rim pixel; beyond it is a border in that colour
OFF_LINE = 30.0
FEWEST = 400
MUCH = 0.2
GROUNDS = {"white": (255.0, 255.0, 255.0), "black": (0.0, 0.0, 0.0)}
Reals = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Rim:
    """The rim's pixels of a tile: where they are, their colours, the nearest ink, which touch the clear."""

    tile: Tile
    is_rim: NDArray[np.bool_]
    colours: Reals
    inks: Reals
    is_outermost: NDArray[np.bool_]


def fringe_of(tiles: list[Tile], mm_per_px: float) -> Fringe | None:
    """The rim of the tiles' edges against the ink beside them; None when there is too little rim to tell."""
    told = [rim for tile in tiles if (rim := _rim(tile)) is not None]
    if not told:
        return None
    rims = np.concatenate([rim.colours for rim in told])
    inks = np.concatenate([rim.inks for rim in told])
    outermost = np.concatenate([rim.is_outermost for rim in told])
    best: Fringe | None = None
    for name, ground in GROUNDS.items():
        mixture = _mixture(rims, inks, np.array(ground))
        if np.isfinite(mixture).sum() < FEWEST:
            continue
        share, against = _shares(mixture, outermost)
        if best is None or share - against > best.share:
            places = _places(told, np.array(ground), mm_per_px)
            best = Fringe(name, share - against, places)
    return best


def _rim(tile: Tile) -> _Rim | None:
    """The rim of a tile's edges; None when it has none, or no ink deep enough to compare it with."""
    alpha = channel(tile.rgba, 3)
    ink = at_least(alpha, 8)
    if not (ink == 0).any():
        return None
    far = distance(np.pad(ink, 1, mode="edge"))[1:-1, 1:-1]
    deep = (far >= DEEP_PX) & (alpha >= 250)
    rim = (far > 0) & (far <= RIM_PX) & (alpha >= RIM_ALPHA)
    if deep.sum() < FEWEST or not rim.any():
        return None
    toward, labels = cv2.distanceTransformWithLabels(
        inverse(np.where(deep, 255, 0).astype(np.uint8)), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    rim &= toward <= FARTHEST_PX
    where = np.zeros(int(labels.max()) + 1, np.int64)
    where[labels[deep]] = np.flatnonzero(deep)
    colours = tile.rgba[..., :3].reshape(-1, 3).astype(np.float64)
    inks = colours[where[labels[rim]]]
    return _Rim(tile, rim, colours[rim.ravel()], inks, far[rim] <= OUTERMOST_PX)


def _mixture(rim: Reals, ink: Reals, ground: Reals) -> Reals:
    """How much of the ground each rim pixel holds; NaN where it cannot be told."""
    toward = ground - ink
    length = np.linalg.norm(toward, axis=1)
    share = ((rim - ink) * toward).sum(axis=1) / np.maximum(length**2, 1.0)
    off = np.linalg.norm(rim - ink - share[:, None] * toward, axis=1)
    return np.where((length >= APART) & (off <= OFF_LINE), share, np.nan)


def _shares(mixture: Reals, is_outermost: NDArray[np.bool_]) -> tuple[float, float]:
    """The share of rim pixels that hold some of the ground, and that of those which lean the other way.

    A first row that is all ground doesn't count: the row behind it tells a halo, which is mixed there, from a
    border that somebody drew, which goes on. So further pixels that are all ground lean the other way only as
    far as they outnumber the mixed ones.
    """
    told = mixture[np.isfinite(mixture) & ~(is_outermost & (mixture >= ALL))]
    if len(told) < FEWEST:
        return 0.0, 0.0
    mixed = float(((told > MIXED) & (told < ALL)).mean())
    return mixed, float((told < -MIXED).mean()) + max(0.0, float((told >= ALL).mean()) - mixed)


def _places(told: list[_Rim], ground: Reals, mm: float) -> tuple[Place, ...]:
    """Of each tile with much of it, the small square with the most."""
    ranked: list[tuple[float, Place]] = []
    for rim in told:
        mixture = _mixture(rim.colours, rim.inks, ground)
        known = mixture[np.isfinite(mixture)]
        share = float((known > MIXED).mean()) if len(known) else 0.0
        if share > MUCH:
            marks = np.zeros(rim.is_rim.shape, bool)
            marks[rim.is_rim] = np.nan_to_num(mixture) > MIXED
            ranked.append((share, rim.tile.part(marks, mm)))
    return tuple(place for _, place in sorted(ranked, key=lambda one: -one[0]))
