"""The own samples of a raster file, upright: nothing converted, resampled or thrown away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray

from intake.reading.colour import Profile, colour_bands
from intake.reading.header import RasterHeader
from intake.reading.raster_pixels import Decoding, decode, upright

# What libvips calls pictures whose numbers mean the same in PDF's spaces of grey, RGB and CMYK.
_PLAIN = {"b-w", "grey16", "srgb", "rgb", "rgb16", "cmyk"}
_BITS = {"uchar": 8, "ushort": 16}

Band = tuple[NDArray[Any], NDArray[Any] | None]


@dataclass(frozen=True, slots=True)
class Samples:
    """Upright samples: `colours` (1, 3 or 4) a pixel of 8 or 16 bits; `icc`: their profile."""

    width: int
    height: int
    colours: int
    bits: int
    has_alpha: bool
    icc: bytes
    path: Path
    header: RasterHeader

    def bands(self, rows: int) -> Iterator[Band]:
        """Colours (n, width, colours) and alpha (n, width) or None, top to bottom; n ≤ rows.

        Raises ArtworkRefused where the data are broken.
        """
        with Decoding(self.header.kind):
            image = _upright_picture(self.path, self.header)
            region = pyvips.Region.new(image)
        kind = np.uint8 if self.bits == 8 else np.uint16
        for top in range(0, self.height, rows):
            count = min(rows, self.height - top)
            with Decoding(self.header.kind):
                block = region.fetch(0, top, self.width, count)
            pixels = np.frombuffer(block, kind).reshape(count, self.width, -1)
            alpha_at = self.colours + (self.header.alpha_at or 0)
            yield pixels[..., : self.colours], pixels[..., alpha_at] if self.has_alpha else None


def own_samples(path: Path, header: RasterHeader, profile: Profile) -> Samples | None:
    """The samples of a file; None when PDF has no space for their kind (CIELab, floating point).

    Inks without a profile are None too: what they look like is each program's own guess. So is a picture that
    covers a part of its canvas only.
    """
    if header.covers is not None:
        return None
    with Decoding(header.kind):
        image = decode(path, header, is_sequential=True)
    colours = colour_bands(image)
    if str(image.interpretation) not in _PLAIN or str(image.format) not in _BITS:
        return None
    if colours == 4 and not profile.converts:
        return None
    is_there = header.alpha_at is not None and image.bands > colours + header.alpha_at
    icc = image.get("icc-profile-data") if profile.converts else b""
    wide, high = header.upright
    bits = _BITS[str(image.format)]
    return Samples(wide, high, colours, bits, is_there, icc, path, header)


def _upright_picture(path: Path, header: RasterHeader) -> Any:
    image = decode(path, header, is_sequential=header.orientation == 1)
    return upright(image, header.orientation)
