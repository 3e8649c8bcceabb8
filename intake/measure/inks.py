"""Coverage of opaque art on a plain ground, told from its own ink colours."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes
from intake.measure.survey import Ground

STEPS = 64  # a channel is told in so many steps: a rim of ink is right to a fiftieth of a pixel
LOSSY_LOW, LOSSY_HIGH = 0.10, 0.90  # ringing of lossy compression stays below and above


class InkCoverage:
    """Turns bands of RGBA into coverage 0–255 of whatever is not the ground.

    A rim pixel is a mixture of the ground and one ink, and how much of the ink it holds is its coverage; a
    mixture of two inks is covered. Every colour is worked out once.
    """

    def __init__(self, ground: Ground, lossy: bool) -> None:
        self.ground = ground
        self.lossy = lossy
        self.known = np.zeros(STEPS**3, bool)
        self.table = np.zeros(STEPS**3, np.uint8)
        pair = np.arange(65536, dtype=np.int32)
        low, high = (pair & 255) >> 2, pair >> 10
        self.red_green = low << 12 | high << 6
        self.blue = low

    def of(self, band: Bytes) -> Bytes:
        """Coverage of a band."""
        pairs = band.view("<u2")
        at = self.red_green[pairs[..., 0]]
        at |= self.blue[pairs[..., 1]]
        fresh = at[~self.known[at]]
        if len(fresh):
            fresh = np.unique(fresh)
            self.table[fresh] = self._coverage(fresh)
            self.known[fresh] = True
        return np.asarray(self.table[at], np.uint8)

    def _coverage(self, at: NDArray[np.int32]) -> Bytes:
        """Coverage of the colours in the middle of table steps."""
        rgb = np.stack([at >> 12, at >> 6 & 63, at & 63], axis=1) * 4.0 + 1.5
        ground = np.array(self.ground.colour, np.float64)
        near = (np.abs(rgb - ground) <= 2.0).all(axis=1)
        share = self._by_inks(rgb, ground) if self.ground.is_flat_art else self._by_distance(rgb, ground)
        if self.lossy:
            share = (share - LOSSY_LOW) / (LOSSY_HIGH - LOSSY_LOW)
        share[near] = 0.0
        return np.rint(np.clip(share, 0.0, 1.0) * 255.0).astype(np.uint8)

    def _by_inks(self, rgb: NDArray[np.float64], ground: NDArray[np.float64]) -> NDArray[np.float64]:
        inks = self.ground.inks
        best = np.full(len(rgb), np.inf)
        share = np.zeros(len(rgb))
        for k, ink in enumerate(inks):
            u = ink - ground
            t = (rgb - ground) @ u / max(float(u @ u), 1.0)
            off = np.linalg.norm(rgb - ground - np.clip(t, 0, 1)[:, None] * u, axis=1)
            share = np.where(off < best, t, share)
            best = np.minimum(best, off)
            for other in inks[:k]:
                v = other - ink
                s = np.clip((rgb - ink) @ v / max(float(v @ v), 1.0), 0.0, 1.0)
                off = np.linalg.norm(rgb - ink - s[:, None] * v, axis=1) + 2.0
                share = np.where(off < best, 1.0, share)
                best = np.minimum(best, off)
        far = np.abs(rgb - ground).max(axis=1) > 2 * self.ground.tolerance
        return np.where((best > 40.0) & far, 1.0, share)

    def _by_distance(self, rgb: NDArray[np.float64], ground: NDArray[np.float64]) -> NDArray[np.float64]:
        """A photograph on a plain ground: whatever differs from the ground at all is covered."""
        away = np.abs(rgb - ground).max(axis=1)
        return np.asarray((away - self.ground.tolerance) / (2.0 * self.ground.tolerance), np.float64)
