"""A run as pixels with transparency, streamed: only some rows of it are ever in memory (libvips)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray

from intake.facts import Pixels

_BAND_ROWS = 256
_INCH_MM = 25.4
KINDS = ("tiff", "png")


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something lies on the run's pixels: which picture, its left and top px, and how it lies."""

    picture: str
    left: int
    top: int
    turned: bool = False
    mirrored: bool = False


def keep_pixels(pixels: Pixels, size: tuple[int, int], aside: Path) -> Any:
    """An artwork's pixels at a size in px, on disk: read where they are needed, and not held.

    Resampled, where the size is another one, with colours weighed by transparency.
    """
    raw = aside.with_suffix(".raw")
    with raw.open("wb") as out:
        for band in pixels.bands(_BAND_ROWS):
            out.write(np.ascontiguousarray(band).data)
    image = pyvips.Image.rawload(str(raw), pixels.width, pixels.height, 4).copy(interpretation="srgb")
    if (pixels.width, pixels.height) == size:
        return image
    across, down = size[0] / pixels.width, size[1] / pixels.height
    resized = image.premultiply().resize(across, vscale=down, kernel="lanczos3").unpremultiply()
    kept = resized.rint().cast("uchar").gravity("north-west", *size, extend="copy")
    name = str(aside.with_suffix(".v"))
    kept.write_to_file(name)
    raw.unlink()
    return pyvips.Image.new_from_file(name).copy(interpretation="srgb")


def of_array(rgba: NDArray[np.uint8]) -> Any:
    """A small picture that is held."""
    image = pyvips.Image.new_from_memory(rgba.tobytes(), rgba.shape[1], rgba.shape[0], 4, "uchar")
    return image.copy(interpretation="srgb")


def write_run(
    into: Path,
    size: tuple[int, int],
    pictures: Mapping[str, Any],
    spots: Sequence[Spot],
    ppi: float,
    *,
    is_mirrored: bool,
) -> None:
    """Lay the pictures over clear film and write it, as the name of `into` ends: .tiff (BigTIFF) or .png."""
    film = pyvips.Image.black(*size, bands=4).copy(interpretation="srgb")
    lying: dict[tuple[str, bool, bool], Any] = {}
    images = []
    for spot in spots:
        key = (spot.picture, spot.turned, spot.mirrored)
        if key not in lying:
            image = pictures[spot.picture]
            image = image.fliphor() if spot.mirrored else image
            lying[key] = image.rot90() if spot.turned else image
        images.append(lying[key])
    if images:
        lefts, tops = [spot.left for spot in spots], [spot.top for spot in spots]
        film = film.composite(images, "over", x=lefts, y=tops)
    film = film.fliphor() if is_mirrored else film
    film = film.copy(xres=ppi / _INCH_MM, yres=ppi / _INCH_MM)
    if into.suffix == ".png":
        film.pngsave(str(into), compression=1, filter="up")
    else:
        film.tiffsave(
            str(into), compression="deflate", level=1, predictor="horizontal", bigtiff=True, resunit="inch"
        )
