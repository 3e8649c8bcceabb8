"""A small picture of the art as PNG bytes."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image


def png_bytes(rgba: NDArray[np.uint8]) -> bytes:
    """Straight RGBA of shape (height, width, 4) as a PNG; the same pixels always give the same bytes."""
    out = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(rgba), "RGBA").save(out, "PNG", compress_level=6)
    return out.getvalue()
