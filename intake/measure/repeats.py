"""Pictures enlarged by repeating pixels: squares of one colour on a lattice, across and down alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.bytewise import Bytes

LEAST, MOST = 1.45, 12.0  # larger squares are a drawing's own
FEWEST_LINES = 24
FEWEST_TONES = 6  # a drawing of two colours (a QR code, a chequered flag) may be made of squares on purpose
CHANGED, CHANGED_LOSSY = 6, 26
OCCUPIED = 0.5  # of a lattice's lines must show somewhere


def block_factor(planes: list[Bytes], *, is_lossy: bool) -> float | None:
    """How many pixels wide the squares are; None when the picture is not made of such."""
    level = CHANGED_LOSSY if is_lossy else CHANGED
    found: list[float] = []
    for plane in planes:
        if _tones(plane) < FEWEST_TONES:
            continue
        for way in (plane, np.ascontiguousarray(plane.T)):
            columns = _changes(way, level)
            if len(columns) < FEWEST_LINES:
                continue
            pitch = lattice_of(columns)
            if pitch is None:
                return None  # what was enlarged was enlarged everywhere and both ways
            found.append(pitch)
    if len(found) < (4 if is_lossy else 2) or max(found) / min(found) > 1.05:
        return None
    return float(np.median(found))


def _tones(plane: Bytes) -> int:
    counts = np.bincount(plane.ravel(), minlength=256)
    return int((counts > plane.size * 0.0002).sum())


def _changes(plane: Bytes, level: int) -> NDArray[np.int64]:
    """Columns at which more than a stray pixel differs from the column before."""
    wide = plane.astype(np.int16)
    different = np.abs(wide[:, 1:] - wide[:, :-1]) > level
    return np.flatnonzero(different.sum(axis=0) >= 2) + 1


def lattice_of(columns: NDArray[np.int64]) -> float | None:
    """The pitch of the lattice that holds all these columns, rounded to whole pixels; None: no lattice.

    The columns of a lattice of pitch f are the whole parts of k·f + φ, so their remainders by f lie within
    one pixel of each other; the coarsest pitch for which that is so, and most of whose lines occur, is it.
    """
    if len(columns) < FEWEST_LINES:
        return None
    extent = int(columns[-1] - columns[0])
    coarse = np.arange(1.0 / MOST, 1.0 / LEAST, 0.2 / max(extent, 1))
    near = coarse[_spread(columns, coarse) <= coarse + 0.12]
    fine = (near[:, None] + np.arange(-10, 11) * (0.01 / max(extent, 1))).ravel()
    if not len(fine):
        return None
    lines = extent * fine + 1.0
    is_filled = (len(columns) >= OCCUPIED * lines) & (len(columns) <= 1.02 * lines + 1.0)
    fits = (_spread(columns, fine) <= fine + 0.01) & is_filled
    if not fits.any():
        return None
    # Frequencies next to each other fit alike: the middle of the lowest group is the pitch.
    lowest = fine[fits][0]
    group = fine[fits & (fine <= lowest + 1.0 / max(extent, 1))]
    return float(2.0 / (group.min() + group.max()))


def _spread(columns: NDArray[np.int64], frequencies: NDArray[np.float64]) -> NDArray[np.float64]:
    """The shortest arc of the circle that holds all remainders, for each frequency, in turns."""
    phase = np.sort((columns[None, :] * frequencies[:, None]) % 1.0, axis=1)
    gaps = np.diff(phase, axis=1, append=phase[:, :1] + 1.0)
    return np.asarray(1.0 - gaps.max(axis=1), np.float64)
