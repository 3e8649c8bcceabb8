"""A small picture of the art as PNG bytes."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, PngImagePlugin


def png_bytes(rgba: NDArray[np.uint8]) -> bytes:
    """Straight RGBA of shape (height, width, 4) as a PNG; the same pixels always give the same bytes."""
    out = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(rgba), "RGBA").save(out, "PNG", compress_level=6)
    return out.getvalue()


def write_png(path: Path, rgba: NDArray[np.uint8], mm_per_px: float) -> None:
    """Write straight RGBA in sRGB as a PNG that states its resolution (W3C PNG, pHYs and sRGB).

    Opaque pictures are written without an alpha channel. Raises OSError when it cannot be written.
    """
    is_opaque = int(rgba[..., 3].min()) == 255
    pixels = np.ascontiguousarray(rgba[..., :3] if is_opaque else rgba)
    marks = PngImagePlugin.PngInfo()
    marks.add(b"sRGB", b"\0")  # perceptual intent
    ppi = 25.4 / mm_per_px
    Image.fromarray(pixels).save(path, "PNG", compress_level=6, dpi=(ppi, ppi), pnginfo=marks)
