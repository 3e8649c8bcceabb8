"""The picture that repairs work on: straight RGBA at print size, and which of its pixels are ink."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum

import cv2
import numpy as np

from intake.facts import Ask, Place
from intake.measure.bytewise import Bytes, at_least, channel, count, lowest_of
from intake.measure.inks import InkCoverage
from intake.measure.passes import BAND_ROWS, OPAQUE
from intake.measure.survey import Ground, Survey

INKED = 8  # coverage from which a pixel counts as ink, as in the measuring


class Keeps(StrEnum):
    """What stays as ordered when a picture is cropped: a side of the print, or its pixels an inch."""

    WIDTH = "width"
    HEIGHT = "height"
    SCALE = "scale"


@dataclass(frozen=True, slots=True)
class Canvas:
    """Straight RGBA of shape (height, width, 4) in sRGB; never changed in place.

    `ground` is the plain ground of an opaque picture; None where transparency tells the ink, or all is ink.
    """

    rgba: Bytes
    mm_per_px: float
    keeps: Keeps = Keeps.SCALE
    lossy: bool = False
    ground: Ground | None = None

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height in px."""
        return int(self.rgba.shape[1]), int(self.rgba.shape[0])

    @property
    def is_opaque(self) -> bool:
        """Whether nothing at all is transparent."""
        return lowest_of(channel(self.rgba, 3)) >= OPAQUE

    def cover(self) -> Bytes:
        """Coverage 0–255 of every pixel: its alpha, or how far it is from the plain ground."""
        if self.ground is not None:
            return InkCoverage(self.ground, self.lossy).of(self.rgba)
        return channel(self.rgba, 3)

    def with_pixels(self, rgba: Bytes) -> Canvas:
        """The same print with other pixels; what its ground is, is looked at anew."""
        return canvas_of(rgba, self.mm_per_px, keeps=self.keeps, lossy=self.lossy)

    def with_cover(self, cover: Bytes) -> Canvas:
        """The same colours under less coverage: alpha, or the ground laid over them."""
        out = self.rgba.copy()
        if self.ground is None:
            out[..., 3] = cover
            return replace(self, rgba=out)
        gone = cover < self.cover()
        out[gone, :3] = self.ground.colour
        return replace(self, rgba=out)

    def cropped(self, box: tuple[int, int, int, int]) -> Canvas:
        """The part within (left, top, right, bottom) in px, printed at the side that it keeps."""
        left, top, right, bottom = box
        width, height = self.size_px
        factor = {
            Keeps.WIDTH: width / (right - left),
            Keeps.HEIGHT: height / (bottom - top),
            Keeps.SCALE: 1.0,
        }[self.keeps]
        part = np.ascontiguousarray(self.rgba[top:bottom, left:right])
        return canvas_of(part, self.mm_per_px * factor, keeps=self.keeps, lossy=self.lossy)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the repairs need to know: the limits, the level of hardening (0–255), enclosed ground or not."""

    ask: Ask = field(default_factory=Ask)
    level: int = 128
    takes_enclosed: bool = False


@dataclass(frozen=True, slots=True)
class Mended:
    """A repaired picture and what was done to it; places in mm of the print before."""

    canvas: Canvas
    says: str
    places: tuple[Place, ...] = ()


def canvas_of(rgba: Bytes, mm_per_px: float, *, keeps: Keeps = Keeps.SCALE, lossy: bool = False) -> Canvas:
    """A canvas with the plain ground found as the measuring finds it."""
    bare = Canvas(np.ascontiguousarray(rgba), mm_per_px, keeps, lossy)
    return replace(bare, ground=ground_of(bare.rgba, lossy)) if bare.is_opaque else bare


def ground_of(rgba: Bytes, lossy: bool) -> Ground | None:
    """The plain ground of an opaque picture; None when it has none, or shows nothing on it."""
    survey = Survey(rgba.shape[0], lossy)
    for top in range(0, rgba.shape[0], BAND_ROWS):
        survey.add(rgba[top : top + BAND_ROWS])
    ground = survey.ground()
    if ground is None or not count(InkCoverage(ground, lossy).of(rgba)):
        return None
    return ground


def places_of(mask: Bytes, mm_per_px: float, at_most: int = 40) -> tuple[Place, ...]:
    """Boxes in mm of the largest connected parts of a mask."""
    number, _, stats, _ = cv2.connectedComponentsWithStats(at_least(mask, 1), connectivity=8)
    boxes = sorted((tuple(int(v) for v in row) for row in stats[1:number]), key=lambda b: -b[4])[:at_most]
    return tuple(_placed(box, mm_per_px) for box in boxes)


def _placed(box: tuple[int, ...], mm_per_px: float) -> Place:
    left, top, width, height = (v * mm_per_px for v in box[:4])
    return Place(left, top, width, height)
