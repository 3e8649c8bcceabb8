"""The colours of an opaque picture: is there a plain ground, and which inks lie on it?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes, at_most, higher_of, spread_between

Colours = NDArray[np.float64]
LIGHTNESS = np.array([0.299, 0.587, 0.114])  # ITU-R BT.601, as JPEG files have it
LOSSY_MM, LOSSY_PALE_MM, PALE = 0.07, 0.17, 90.0
SAMPLE_ROWS = 600  # about so many rows of a picture are sampled
BORDER_SHARE = 0.70  # of the border's pixels must agree for a plain ground
LEAST_SHARE = 0.03  # of the canvas
MOST_INKS = 12
NEAR_INK = 28.0  # colours closer than this are one ink
OFF_LINE = 20.0  # further than this from every mixture of ground and inks: none of them
LOSSY_OFF_LINE, LOSSY_CONTRAST = 45.0, 60.0  # compression mixes colours of its own, paler than these
PHOTO_SHARE = (
    0.30  # more of the sampled art than this unexplained by the inks: a photograph on a plain ground
)


@dataclass(frozen=True, slots=True)
class Ground:
    """A plain ground and the inks on it, RGB 0–255. `is_flat_art`: the inks explain the art."""

    colour: tuple[int, int, int]
    inks: Colours
    is_flat_art: bool
    tolerance: float
    share: float  # of the samples

    @property
    def lossy_mm(self) -> float:
        """How far lossy compression may move edges on this ground: more where lightness hardly tells an ink.

        JPEG stores colour at half the resolution of lightness (4:2:0). The lengths are measured, at 300 ppi.
        """
        if not len(self.inks):
            return LOSSY_PALE_MM
        apart = np.abs((self.inks - np.array(self.colour)) @ LIGHTNESS)
        return LOSSY_MM if apart.min() >= PALE else LOSSY_PALE_MM

    @property
    def name(self) -> str:
        """The ground as '#rrggbb'."""
        return "#{:02x}{:02x}{:02x}".format(*self.colour)


class Survey:
    """Takes bands of an opaque picture, top to bottom, and tells its plain ground and inks."""

    def __init__(self, height: int, lossy: bool) -> None:
        self.height = height
        self.every = max(1, height // SAMPLE_ROWS)
        self.tolerance = 14.0 if lossy else 5.0
        self.off_line, self.contrast = (LOSSY_OFF_LINE, LOSSY_CONTRAST) if lossy else (OFF_LINE, 0.0)
        self.border: list[Bytes] = []
        self.flat = _Histogram()
        self.any = _Histogram()
        self.peaks: list[Bytes] = []
        self.row = 0

    def add(self, band: Bytes) -> None:
        """Take the next band of RGBA rows."""
        rows = band.shape[0]
        self.border += [band[:, 0, :3].copy(), band[:, -1, :3].copy()]
        self.border += [band[0, :, :3].copy()] * (self.row == 0)
        self.border += [band[-1, :, :3].copy()] * (self.row + rows >= self.height)
        first = -self.row % self.every
        self.row += rows
        sampled = np.ascontiguousarray(band[first : -1 : self.every])
        below = np.ascontiguousarray(band[first + 1 :: self.every][: len(sampled)])
        if not len(sampled) or sampled.shape[1] < 3:
            return
        level = self.tolerance - 3.0
        down = spread_between(sampled, below)[:, 1:-1]
        left = spread_between(sampled[:, 1:-1], sampled[:, :-2])
        right = spread_between(sampled[:, 1:-1], sampled[:, 2:])
        even = at_most(higher_of(np.ascontiguousarray(down), higher_of(left, right)), level) != 0
        middle = sampled[:, 1:-1]
        self.flat.add(middle[even])
        self.any.add(middle[:: max(1, len(middle) // 8)].reshape(-1, 4))

    def ground(self) -> Ground | None:
        """The plain ground with its inks; None when the border is not plain, or little of the rest is."""
        border = np.concatenate(self.border).astype(np.float64)
        colour = np.median(border, axis=0)
        if (np.abs(border - colour).max(axis=1) <= self.tolerance).mean() < BORDER_SHARE:
            return None
        colours, counts = self.any.colours()
        near = np.abs(colours - colour).max(axis=1) <= self.tolerance + 4
        share = counts[near].sum() / max(counts.sum(), 1)
        if share < LEAST_SHARE:
            return None
        inks = self._inks(colour)
        art, weight = colours[~near], counts[~near]
        stray = off_lines(art, colour, inks) > self.off_line if len(art) else np.zeros(0, bool)
        is_flat = bool(weight[stray].sum() <= PHOTO_SHARE * max(weight.sum(), 1))
        red, green, blue = (round(float(v)) for v in colour)
        return Ground((red, green, blue), inks, is_flat, self.tolerance, float(share))

    def _inks(self, ground: Colours) -> Colours:
        """Colours of even areas, most frequent first; then whatever stands farthest out of the rest."""
        colours, counts = self.flat.colours()
        least = max(4.0, 0.002 * counts.sum())
        inks: list[Colours] = []
        for colour, number in zip(colours, counts, strict=True):
            away = [ground, *inks]
            if number >= least and min(float(np.abs(colour - a).max()) for a in away) > NEAR_INK:
                inks.append(colour)
            if len(inks) == MOST_INKS:
                break
        colours, counts = self.any.colours()
        colours = colours[(counts >= 2) & (np.abs(colours - ground).max(axis=1) > self.contrast)]
        while len(inks) < MOST_INKS and len(colours):
            stray = off_lines(colours, ground, np.array(inks).reshape(-1, 3)) > self.off_line
            if not stray.any():
                break
            far = np.abs(colours - ground).sum(axis=1) * stray
            inks.append(colours[far.argmax()])
        return np.array(inks).reshape(-1, 3)


class _Histogram:
    """Counts and mean colours in 32 steps a channel."""

    def __init__(self) -> None:
        self.count = np.zeros(32**3, np.int64)
        self.sums = np.zeros((3, 32**3), np.float64)

    def add(self, pixels: Bytes) -> None:
        """Count pixels of shape (n, 3 or 4)."""
        wide = pixels.astype(np.int32)
        at = (wide[:, 0] >> 3 << 10) | (wide[:, 1] >> 3 << 5) | (wide[:, 2] >> 3)
        self.count += np.bincount(at, minlength=32**3)
        for k in range(3):
            self.sums[k] += np.bincount(at, weights=wide[:, k], minlength=32**3)

    def colours(self) -> tuple[Colours, NDArray[np.int64]]:
        """Mean colours of the steps that occur and their counts, most frequent first."""
        used = np.flatnonzero(self.count)
        used = used[np.argsort(-self.count[used], kind="stable")]
        return (self.sums[:, used] / self.count[used]).T, self.count[used]


def off_lines(colours: Colours, ground: Colours, inks: Colours) -> Colours:
    """How far each colour is from the nearest mixture of the ground and one ink, or of two inks."""
    best: Colours = np.abs(colours - ground).max(axis=1)
    ends = [(ground, ink) for ink in inks]
    ends += [(a, b) for i, a in enumerate(inks) for b in inks[:i]]
    for a, b in ends:
        u = b - a
        t = np.clip((colours - a) @ u / max(float(u @ u), 1.0), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(colours - a - t[:, None] * u, axis=1))
    return best
