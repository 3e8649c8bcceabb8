"""Drawn artwork with something to repair: anti-aliased by drawing larger and averaging."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

FINE = 4
INK = (200, 30, 40, 255)
MM_PER_PX = 25.4 / 300
Rgba = NDArray[np.uint8]
Box = tuple[float, float, float, float]


def drawn(width: int, height: int, discs: list[Box], bars: list[Box] | None = None) -> Rgba:
    """Discs and bars (left, top, right, bottom in px) of one ink on a clear canvas."""
    large = Image.new("RGBA", (width * FINE, height * FINE), (*INK[:3], 0))
    draw = ImageDraw.Draw(large)
    for disc in discs:
        draw.ellipse(_fine(disc), fill=INK)
    for bar in bars or ():
        draw.rectangle(_fine(bar), fill=INK)
    return np.asarray(large.resize((width, height), Image.Resampling.BOX), np.uint8)


def _fine(box: Box) -> list[float]:
    left, top, right, bottom = (round(v * FINE) for v in box)
    return [left, top, right - 1, bottom - 1]


def on_ground(rgba: Rgba, colour: tuple[int, int, int] = (255, 255, 255)) -> Rgba:
    """The same art, opaque on a plain ground."""
    share = rgba[..., 3:].astype(np.float64) / 255
    rgb = np.rint(rgba[..., :3] * share + (1 - share) * np.array(colour)).astype(np.uint8)
    return np.dstack([rgb, np.full(rgb.shape[:2], 255, np.uint8)])


def with_glow(rgba: Rgba, radius: float) -> Rgba:
    """The same art over a soft shadow of itself."""
    art = Image.fromarray(rgba)
    shadow = Image.new("RGBA", art.size, (20, 20, 30, 0))
    shadow.putalpha(art.getchannel("A").filter(ImageFilter.GaussianBlur(radius)))
    shadow.alpha_composite(art)
    return np.asarray(shadow, np.uint8)
