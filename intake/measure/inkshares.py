"""How much of each of the four colours lies on the inked area, by the PDF standard's plain conversion."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_INKED = 128  # alpha from which a pixel counts as inked


def mean_cmyk(picture: NDArray[np.uint8]) -> tuple[float, float, float, float] | None:
    """Mean shares (0–1) of cyan, magenta, yellow and black on the inked pixels; None where nothing is inked.

    picture: straight RGBA in sRGB. Cyan, magenta and yellow are 1 − red, green, blue; what all three share is
    printed black instead: ISO 32000-1, 10.3.4 (from memory), with BG(k) = UCR(k) = k. A printer's own profile
    splits the colours otherwise, so the sum is what an estimate can rest on.
    """
    rgb = picture[..., :3][picture[..., 3] >= _INKED]
    if len(rgb) == 0:
        return None
    colours = 1 - rgb.astype(np.float32) / 255
    black = colours.min(axis=-1, keepdims=True)
    cyan, magenta, yellow = (colours - black).mean(axis=0, dtype=np.float64)
    return float(cyan), float(magenta), float(yellow), float(black.mean(dtype=np.float64))
