"""A picture made small by averaging exactly what each of the small pixels covers, band by band."""

from __future__ import annotations

from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray


def shrunk(
    bands: Iterable[NDArray[np.uint8]], own: tuple[int, int], size: tuple[int, int]
) -> NDArray[np.uint8]:
    """Straight RGBA bands of a picture of `own` (width, height) px as straight RGBA of `size`.

    Colours and transparency are averaged each by itself, as programs do with an image and its soft mask.
    Along rows by OpenCV's area averaging, down the columns by differences of running sums.
    """
    total = np.zeros((size[1], size[0] * 4), np.float32)
    scale = own[1] / size[1]
    edges = np.arange(size[1] + 1) * scale
    top = 0
    for band in bands:
        narrow = cv2.resize(
            np.ascontiguousarray(band), (size[0], band.shape[0]), interpolation=cv2.INTER_AREA
        )
        rows = narrow.reshape(band.shape[0], -1).astype(np.float32)
        first = int(top / scale)
        last = min(size[1], int(np.ceil((top + len(rows)) / scale - 1e-9)))
        sums = np.zeros((len(rows) + 1, rows.shape[1]), np.float32)
        np.cumsum(rows, axis=0, out=sums[1:])
        at = np.clip(edges[first : last + 1] - top, 0, len(rows))
        whole = np.minimum(at.astype(int), len(rows) - 1)
        part = (at - whole).astype(np.float32)[:, None]
        till = sums[whole] * (1 - part) + sums[whole + 1] * part
        total[first:last] += np.diff(till, axis=0) / np.float32(scale)
        top += len(rows)
    return np.clip(np.rint(total), 0, 255).astype(np.uint8).reshape(size[1], size[0], 4)


def premultiplied(straight: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Straight RGBA as premultiplied."""
    shares = cv2.cvtColor(np.ascontiguousarray(straight[..., 3]), cv2.COLOR_GRAY2BGRA)  # alpha 255: it stays
    return cv2.multiply(straight, shares, scale=1 / 255).astype(np.uint8, copy=False)
