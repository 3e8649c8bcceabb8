"""The numerical work on pixels: pure functions of arrays, no decoders, no settings."""

from __future__ import annotations

from collections.abc import Iterator

from intake.facts import Ask, InkMeasures, Pixels
from intake.measure.bytewise import Bytes, channel
from intake.measure.engine import Circumstances, measure_cover, measures_of
from intake.measure.picture import SmallPicture
from intake.measure.scale import scale_of

BAND_ROWS = 256

__all__ = ["measure_ink", "measure_with_picture"]


def measure_ink(pixels: Pixels, mm_per_px: float, ask: Ask) -> InkMeasures:
    """Measure what the pixels hold at print size. ValueError when `mm_per_px` is no positive length."""
    return measure_with_picture(pixels, mm_per_px, ask)[0]


def measure_with_picture(
    pixels: Pixels, mm_per_px: float, ask: Ask, longest_px: int = 1000
) -> tuple[InkMeasures, Bytes]:
    """Measure, and make a picture of the art (straight RGBA, `longest_px` at most) on the way."""
    scale = scale_of(mm_per_px, ask)
    picture = SmallPicture(pixels.width, pixels.height, longest_px)

    def covers() -> Iterator[Bytes]:
        for band in pixels.bands(BAND_ROWS):
            picture.add(band)
            yield channel(band, 3)

    totals = measure_cover(covers(), pixels.width, scale)
    about = Circumstances(pixels.width, pixels.height, pixels.has_alpha, pixels.lossy)
    return measures_of(totals, scale, ask, about), picture.finished()
