"""Which passes over a picture are needed: one for most, two for opaque art on a plain ground."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from intake.facts import Alpha, Ask, Background, InkMeasures, Pixels, Place
from intake.measure.ahead import read_ahead
from intake.measure.boxes import box_behind
from intake.measure.bytewise import Bytes, channel, lowest_of
from intake.measure.enclosed import GroundParts
from intake.measure.engine import Circumstances, measure_cover, measures_of
from intake.measure.inks import InkCoverage
from intake.measure.picture import SmallPicture
from intake.measure.ringing import settled
from intake.measure.scale import Scale, scale_of
from intake.measure.specks import SpeckWatch
from intake.measure.survey import Ground, Survey

BAND_ROWS = 256
OPAQUE = 250  # alpha from here on counts as opaque: some programs write 254
KEEP_PX = 18_000_000  # opaque pictures up to this size are kept for the second pass instead of decoded again


class FirstPass:
    """Reads the bands once: the small picture, coverage by alpha, and a survey while all is opaque."""

    def __init__(self, pixels: Pixels, longest_px: int) -> None:
        self.pixels = pixels
        self.picture = SmallPicture(pixels.width, pixels.height, longest_px)
        self.survey = Survey(pixels.height, pixels.lossy)
        self.is_opaque = True
        self.kept: list[Bytes] | None = [] if pixels.width * pixels.height <= KEEP_PX else None

    def covers(self) -> Iterator[Bytes]:
        """Coverage by alpha; nothing at all when the whole picture is opaque."""
        opaque_rows: list[int] = []
        for band in self.pixels.bands(BAND_ROWS):
            self.picture.add(band)
            alpha = channel(band, 3) if self.pixels.has_alpha else None
            if self.is_opaque and (alpha is None or lowest_of(alpha) >= OPAQUE):
                self.survey.add(band)
                opaque_rows.append(band.shape[0])
                if self.kept is not None:
                    self.kept.append(band)
                continue
            if self.is_opaque:
                self.is_opaque, self.kept = False, None
                for rows in opaque_rows:
                    yield np.full((rows, self.pixels.width), 255, np.uint8)
            if alpha is not None:
                yield alpha

    def again(self) -> Iterator[Bytes]:
        """The bands once more."""
        yield from self.kept if self.kept is not None else self.pixels.bands(BAND_ROWS)


def measure_with_picture(
    pixels: Pixels, mm_per_px: float, ask: Ask, longest_px: int = 1000
) -> tuple[InkMeasures, Bytes]:
    """Measure, and make a picture of the art (straight RGBA, at most `longest_px` long) on the way.

    Raises ValueError when `mm_per_px` is no positive length.
    """
    scale = scale_of(mm_per_px, ask)
    first = FirstPass(pixels, longest_px)
    specks = SpeckWatch(mm_per_px)
    covers = specks.passing(read_ahead(first.covers()))
    totals = measure_cover(covers, pixels.width, pixels.height, scale)
    picture = first.picture.finished()
    if not first.is_opaque:
        box = box_behind(picture, pixels.width * mm_per_px, pixels.height * mm_per_px)
        about = Circumstances(pixels.width, pixels.height, pixels.has_alpha, pixels.lossy, box)
        measured = measures_of(totals, scale, ask, about)
        return replace(measured, specks=specks.finished(ask.speck_mm)), picture
    ground = first.survey.ground()
    if ground is None:
        return _all_ink(pixels, scale), picture
    return _on_ground(first, ground, scale, ask), picture


def measure_ink(pixels: Pixels, mm_per_px: float, ask: Ask) -> InkMeasures:
    """Measure what the pixels hold at print size. ValueError when `mm_per_px` is no positive length."""
    return measure_with_picture(pixels, mm_per_px, ask)[0]


def _on_ground(first: FirstPass, ground: Ground, scale: Scale, ask: Ask) -> InkMeasures:
    """Opaque art measured against its plain ground."""
    pixels = first.pixels
    coverage = InkCoverage(ground, pixels.lossy)
    parts = GroundParts(pixels.width, pixels.height)
    specks = SpeckWatch(scale.mm_per_px)
    told = (coverage.of(band) for band in first.again())
    covers = specks.passing(read_ahead(settled(told) if pixels.lossy else told))
    totals = measure_cover(covers, pixels.width, pixels.height, scale, parts)
    if not totals.inked_pixels:
        return _all_ink(pixels, scale)
    mm = scale.mm_per_px
    open_px, enclosed_px = parts.areas_px()
    canvas = pixels.width * pixels.height
    background = Background(
        colour=ground.name,
        share=open_px / canvas,
        is_opaque_canvas=True,
        places=(Place(0.0, 0.0, pixels.width * mm, pixels.height * mm),),
        enclosed_share=enclosed_px / canvas,
        confidence=0.95 if ground.is_flat_art else 0.7,
    )
    size = pixels.width, pixels.height
    about = Circumstances(
        *size, pixels.has_alpha, pixels.lossy, background, ground.name, lossy_mm=ground.lossy_mm
    )
    measured = measures_of(totals, scale, ask, about)
    # Compression scatters dots of its own over a plain ground.
    return measured if pixels.lossy else replace(measured, specks=specks.finished(ask.speck_mm))


def _all_ink(pixels: Pixels, scale: Scale) -> InkMeasures:
    """An opaque picture without a plain ground: the whole canvas is printed."""
    mm = scale.mm_per_px
    width, height, choke = pixels.width * mm, pixels.height * mm, scale.choke_px * mm
    return InkMeasures(
        alpha=Alpha.OPAQUE if pixels.has_alpha else Alpha.NONE,
        soft_share=0.0,
        soft_places=(),
        ink_box=Place(0.0, 0.0, width, height),
        ink_area_mm2=width * height,
        white_area_mm2=max(width - 2 * choke, 0.0) * max(height - 2 * choke, 0.0),
        lost_white_area_mm2=0.0,
        lost_white_places=(),
        thinnest_line=None,
        thin_lines=(),
        thinnest_gap=None,
        thin_gaps=(),
        islands=(),
        island_count=0,
        measured_against="alpha",
    )
