"""Raster files of every kind: the header decides what is opened, and is asked for all the facts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import BinaryIO

from config.settings import FileLimits
from intake.facts import Artwork, Pixels, PrintSize
from intake.reading import refusals
from intake.reading.bmp import read_bmp
from intake.reading.colour import Profile, colour_bands, judge_profile
from intake.reading.gif import read_gif
from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.heif import read_heif_header, stated_inside
from intake.reading.jpeg import read_jpeg
from intake.reading.jpeg_whole import WholeJpeg, whole_jpeg
from intake.reading.png import read_png
from intake.reading.raster_pixels import Decoding, RasterPixels, decode
from intake.reading.samples import Samples, own_samples
from intake.reading.sniff import Kind
from intake.reading.stored_ppi import turned
from intake.reading.tiff import CAMERA_RAW, read_tiff
from intake.reading.unfinished import looks_unfinished
from intake.reading.webp import read_webp

_MEGA = 1_000_000
INCH_MM = 25.4
_SQUARE_ENOUGH = 0.002  # pixels this near to square are left alone: less than the eye or the film sees
_HEADERS: dict[Kind, Callable[[BinaryIO], RasterHeader]] = {
    Kind.PNG: read_png,
    Kind.JPEG: read_jpeg,
    Kind.WEBP: read_webp,
    Kind.GIF: read_gif,
    Kind.BMP: read_bmp,
    Kind.HEIC: partial(read_heif_header, Kind.HEIC),
    Kind.AVIF: partial(read_heif_header, Kind.AVIF),
}


def open_raster(path: Path, kind: Kind, page: int, limits: FileLimits) -> OpenRaster:
    """Open a raster file of a known kind. Raises ArtworkRefused; nothing is decoded yet."""
    with path.open("rb") as stream:
        try:
            header = read_tiff(stream, page) if kind == Kind.TIFF else _HEADERS[kind](stream)
        except BrokenHeader as error:
            _refuse_if_unfinished(path)
            raise refusals.damaged(kind) from error
    if header.colour == CAMERA_RAW:
        raise refusals.kind_not_read("a raw photo of a camera", "Please develop it and send a PNG or JPEG.")
    _refuse_bombs(header, limits)
    _refuse_if_unfinished(path)
    if page > header.pages:
        raise refusals.page_not_there(page, header.pages)
    if header.frames == 0:
        raise refusals.no_picture(kind)
    return OpenRaster(path, header, page, limits)


def _refuse_bombs(header: RasterHeader, limits: FileLimits) -> None:
    for width, height in ((header.width, header.height), header.largest or (0, 0)):
        if width * height > limits.largest_megapixels * _MEGA:
            raise refusals.too_many_pixels(width, height, limits.largest_megapixels)
    if min(header.width, header.height) < limits.smallest_pixels:
        raise refusals.no_picture(header.kind)


def _refuse_if_unfinished(path: Path) -> None:
    reason = looks_unfinished(path)
    if reason is not None:
        raise refusals.cut_short(reason)


class OpenRaster:
    """An opened raster file: its facts, and its pixels as often as wanted."""

    def __init__(self, path: Path, header: RasterHeader, page: int, limits: FileLimits) -> None:
        self._path = path
        self._limits = limits
        with Decoding(header.kind):
            image = decode(path, header, is_sequential=True)
        if header.kind in (Kind.HEIC, Kind.AVIF):  # a cut at a fraction of a pixel is the decoder's to round
            header = replace(header, width=image.width, height=image.height, stored=stated_inside(image))
            _refuse_bombs(header, limits)
        if (image.width, image.height) != (header.width, header.height):
            raise refusals.damaged(header.kind)
        self._header = header
        colours = colour_bands(image)
        icc = image.get("icc-profile-data") if "icc-profile-data" in image.get_fields() else b""
        self._profile = judge_profile(icc, colours, header.has_profile)
        self.artwork = _artwork(header, page, self._profile, bool(icc))

    def pixels_at(self, size: PrintSize) -> Pixels:
        """The file's own pixels, made square where they are not, averaged where finer than needed."""
        target = wanted_pixels(self._header.upright, size, self._limits)
        return RasterPixels(self._path, self._header, self._profile, target, self._note_damage)

    def own_samples(self) -> Samples | None:
        """The file's own samples, upright, nothing converted; None where PDF has no space for them."""
        return own_samples(self._path, self._header, self._profile)

    def own_jpeg(self) -> WholeJpeg | None:
        """The file itself, when it is a JPEG that can stand in a PDF as it is and was found sound so far."""
        if self._header.kind != Kind.JPEG or self.artwork.extra.get("damaged"):
            return None
        return whole_jpeg(self._path, self._header, self._profile)

    def _note_damage(self) -> None:
        """Decoding showed what the header could not: the facts say so from now on."""
        self.artwork = replace(self.artwork, extra={**self.artwork.extra, "damaged": True})

    def close(self) -> None:
        """Nothing is kept open between calls."""


def wanted_pixels(own: tuple[int, int], size: PrintSize, limits: FileLimits) -> tuple[int, int]:
    """Width and height in pixels at which a picture of `own` pixels is measured when printed at `size`.

    Its own, unless its two resolutions differ (then the higher one, as far as the largest picture allows) or
    exceed `limits.finest_ppi`.
    """
    across, down = own[0] / size.width_mm, own[1] / size.height_mm
    finest = limits.finest_ppi / INCH_MM
    is_square = abs(across / down - 1) <= _SQUARE_ENOUGH
    if is_square and across <= finest:
        return own
    largest = (limits.largest_megapixels * _MEGA / (size.width_mm * size.height_mm)) ** 0.5
    per_mm = min(max(min(across, down), min(max(across, down), largest)), finest)
    return max(1, round(size.width_mm * per_mm)), max(1, round(size.height_mm * per_mm))


def _artwork(header: RasterHeader, page: int, profile: Profile, has_icc: bool) -> Artwork:
    stored = turned(header.stored) if header.is_turned else header.stored
    width, height = header.upright
    notes = header.notes + profile.notes
    if header.frames > 1:
        notes += (f"The file is an animation of {header.frames} pictures; only the first is looked at.",)
    if header.colour == "CMYK":
        how = "its own profile" if profile.converts else "a general one, for want of a profile"
        notes += (f"The colours are for a printing press (CMYK); they were read with {how}.",)
    return Artwork(
        kind=header.kind,
        shape=width / height * stored.pixel_shape,
        pixels=(width, height),
        pages=header.pages,
        frames=header.frames,
        page=page,
        stored_ppi=stored.ppi,
        stored_ppi_from=stored.source,
        colour=header.colour,
        bits=header.bits,
        has_alpha=header.alpha_at is not None,
        lossy=header.lossy,
        colour_profile=profile.name,
        profile_trouble=profile.trouble,
        notes=notes,
        extra={"orientation": header.orientation, "has_icc": has_icc, "icc_used": profile.converts},
    )
