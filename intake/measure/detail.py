"""The resolution that a picture's detail really supports: is it sharp, soft, enlarged, or made of blocks?

Two things tell. The sharpest edges of a picture that was not enlarged rise within a pixel or so; enlarged
ones need as many pixels as they were enlarged times. And interpolation leaves a period: the second
differences are stronger at the old pixels than between them (A. C. Gallagher, "Detection of linear and cubic
interpolation in JPEG compressed images", 2005). Unsharp and enlarged look alike: only the period is a proof.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.repeats import block_factor
from intake.measure.tiles import CONTRAST, Tile, plane_of

Reals = NDArray[np.float64]
SHARPEST = 10  # per cent of the edges: the rest may be soft on purpose
FEWEST_EDGES = 150
FLAT_RANGE, FLAT_SHARE = 3, 0.12  # so much of a drawing are squares of one tone, even beside its edges
# The sharpest edges, in px, of what was never enlarged: drawn with anti-aliasing, or taken by a camera.
DRAWN_PX, TAKEN_PX, SOFTEST_PX = 1.04, 1.9, 2.3
SOFT_BY_DESIGN = 9.0  # without a period such edges are an airbrush, a glow or a blur on purpose
LEAST_PROVED = 1.3
PEAK = 7.0


@dataclass(frozen=True, slots=True)
class Edges:
    """Rises of brightness: width in px (contrast ÷ steepest step), number of steps, contrast."""

    width: Reals
    steps: Reals

    def sharpest(self) -> tuple[float, float]:
        """(width, steps) of the sharpest tenth."""
        return float(np.percentile(self.width, SHARPEST)), float(np.percentile(self.steps, SHARPEST))


@dataclass(frozen=True, slots=True)
class Sharpness:
    """How many pixels the finest detail needs (1 = all of them), its relative error, and what is proved.

    kind: "" (sharp), "soft", "enlarged" (a period proves it), "blocks" (every old pixel is a square).
    is_photo: tones throughout, where softness may be meant.
    """

    factor: float
    error: float
    kind: str
    is_photo: bool


def sharpness_of(tiles: list[Tile], *, is_lossy: bool) -> Sharpness | None:
    """What the tiles tell; None when they hold too few edges, or may be soft on purpose."""
    planes = [plane_of(tile.rgba) for tile in tiles]
    planes = [plane for plane in planes if min(plane.shape) >= 24]
    if not planes:
        return None
    blocks = block_factor(planes, is_lossy=is_lossy)
    found = [edges_of(plane) for plane in planes] + [edges_of(np.ascontiguousarray(p.T)) for p in planes]
    edges = Edges(np.concatenate([e.width for e in found]), np.concatenate([e.steps for e in found]))
    is_photo = _is_photo(planes)
    if blocks is not None:
        return Sharpness(blocks, 0.03, "blocks", is_photo)
    if len(edges.width) < FEWEST_EDGES:
        return None
    width, steps = edges.sharpest()
    factor = max(1.0, width / (TAKEN_PX if is_photo else DRAWN_PX))
    if steps < 3 or factor < LEAST_PROVED:
        return Sharpness(min(factor, LEAST_PROVED), 0.15, "", is_photo)
    period = _period(planes, _within_reach(width, is_photo=is_photo))
    if period is not None:
        return Sharpness(period, 0.03, "enlarged", is_photo)
    if factor > SOFT_BY_DESIGN:
        return None
    return Sharpness(factor, 0.2, "soft", is_photo)


def _is_photo(planes: list[Bytes]) -> bool:
    """Whether hardly any of the little squares is all of one tone."""
    flat = total = 0
    for plane in planes:
        rows, columns = plane.shape[0] // 8, plane.shape[1] // 8
        squares = plane[: rows * 8, : columns * 8].reshape(rows, 8, columns, 8)
        ranges = squares.max(axis=(1, 3)).astype(np.int16) - squares.min(axis=(1, 3))
        flat, total = flat + int((ranges <= FLAT_RANGE).sum()), total + ranges.size
    return flat < FLAT_SHARE * total


def edges_of(plane: Bytes) -> Edges:
    """Every rise or fall along the rows that is one piece and strong enough, square to its own direction."""
    wide = plane.astype(np.int16)
    step = np.diff(wide, axis=1)
    step[np.abs(step) <= 1] = 0
    sign = np.sign(step)
    flat_sign, flat = sign.ravel(), np.abs(step).ravel()
    begins = np.ones(len(flat), bool)
    begins[1:] = flat_sign[1:] != flat_sign[:-1]
    begins[:: step.shape[1]] = True
    starts = np.flatnonzero(begins)
    rise = np.add.reduceat(flat.astype(np.int64), starts)
    strong = rise >= CONTRAST
    if not strong.any():
        return Edges(np.zeros(0), np.zeros(0))
    ends = np.append(starts[1:], len(flat))[strong]
    starts, rise = starts[strong], rise[strong]
    return _measured(wide, flat, starts, ends, rise)


def _measured(
    wide: NDArray[np.int16],
    flat: NDArray[np.int16],
    starts: NDArray[Any],
    ends: NDArray[Any],
    rise: NDArray[Any],
) -> Edges:
    columns = wide.shape[1] - 1
    run = np.repeat(np.arange(len(starts)), ends - starts)
    at = np.arange(len(run)) - np.repeat(np.cumsum(ends - starts) - (ends - starts), ends - starts)
    at += starts[run]
    values = flat[at].astype(np.int64)
    firsts = np.cumsum(ends - starts) - (ends - starts)
    peak = np.maximum.reduceat(values, firsts)
    counted = np.add.reduceat((values >= 0.03 * rise[run]).astype(np.int64), firsts)
    top = np.full(len(starts), -1)
    is_top = values == peak[run]
    top[run[is_top]] = at[is_top]
    row, column = top // columns, top % columns
    high = wide.shape[0] - 1
    above, below = np.maximum(row - 1, 0), np.minimum(row + 1, high)
    across = (
        wide[below, column] - wide[above, column] + wide[below, column + 1] - wide[above, column + 1]
    ) / 4.0
    straight = peak / np.hypot(peak, across)
    keep = straight > 0.7  # the rest is measured along the columns
    width = (rise / peak * straight)[keep]
    return Edges(width, counted[keep].astype(np.float64))


def _within_reach(width: float, *, is_photo: bool) -> tuple[float, float]:
    """The factors that edges of this width may come from."""
    if is_photo:  # how soft it was before is not known
        return max(width / 2.9, 1.2), 1.35 * width
    return max(0.69 * width, 1.2), 1.35 * width


def _period(planes: list[Bytes], reach: tuple[float, float]) -> float | None:
    """The factor that the period of the second differences gives, within what the edges allow."""
    found = []
    for is_across in (True, False):
        spectrum = _spectrum(planes if is_across else [np.ascontiguousarray(p.T) for p in planes])
        peak = _peak(spectrum, reach) if spectrum is not None else None
        if peak is not None:
            found.append(peak)
    if len(found) < 2 or abs(found[0] / found[1] - 1) > 0.04:
        return None  # a period of the art's own: what was enlarged was enlarged both ways
    factor = sum(found) / 2
    twin = 1.0 / (1.0 - 1.0 / factor)  # 1.5 and 3 leave the same period: the lesser, where it may be
    return twin if factor > 2 and twin >= max(reach[0], reach[1] / (1.35 * SOFTEST_PX)) else factor


def _spectrum(planes: list[Bytes]) -> Reals | None:
    """How strongly the second differences repeat, by frequency (cycles a pixel), over all tiles."""
    total = None
    for plane in planes:
        if plane.shape[1] < 128:
            continue
        wide = plane.astype(np.float32)
        second = np.abs(wide[:, 2:] - 2 * wide[:, 1:-1] + wide[:, :-2])
        # A little everywhere counts as much as one strong edge: else that edge's place is all that shows.
        column = np.minimum(second, 24.0).mean(axis=0)
        smooth = np.convolve(np.pad(column, 8, mode="reflect"), np.ones(17) / 17, "valid")
        line = column / np.maximum(smooth, 0.05) - 1.0
        line = np.clip(line, -3.0, 3.0) * np.hanning(len(line))
        power = np.abs(np.fft.rfft(line, 2048))
        total = power if total is None else total + power
    return None if total is None else np.asarray(total, np.float64)


def _peak(power: Reals, reach: tuple[float, float]) -> float | None:
    """The largest factor within reach whose frequency stands out: no finer period has a peak there."""
    size = 2 * (len(power) - 1)
    heights: dict[float, float] = {}
    for candidate in np.arange(reach[0], reach[1], 0.01):
        frequency = 1.0 / float(candidate)
        folded = frequency if frequency <= 0.5 else 1.0 - frequency
        at = folded * size
        if _is_on_the_grid_of_jpeg(folded, size) or not 24 < at < len(power) - 4:
            continue
        near = power[max(int(at) - 90, 8) : int(at) + 90]
        heights[float(candidate)] = float(power[round(at)] / max(np.median(near), 1e-9))
    high = [factor for factor, height in heights.items() if height >= PEAK]
    if not high:
        return None
    # The top of the peak that the largest such factor lies on.
    return max((f for f in heights if 0.93 * max(high) <= f <= max(high)), key=lambda f: heights[f])


def _is_on_the_grid_of_jpeg(frequency: float, size: int) -> bool:
    return abs(frequency * 8 - round(frequency * 8)) * size / 8 < 6
