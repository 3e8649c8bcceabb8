"""An artwork encoded for PDF: its own pixels, bytes or lines, never resampled. Runs in the sandbox."""

from __future__ import annotations

import shutil
import tempfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from intake.facts import Pixels, PrintSize
from intake.film.packing import RowPacker, packed_as
from intake.measure.shrunk import shrunk
from intake.preflight import PreflightJob
from intake.reading import OpenArtwork, open_artwork
from intake.reading.jpeg_whole import WholeJpeg
from intake.reading.pdf import OpenPdf
from intake.reading.pdf_form import NoForm
from intake.reading.raster import OpenRaster
from intake.reading.samples import Band, Samples
from tickets import wording_film_file as wording
from tickets.paper.film.art import MARK, REFERENCE, ArtObject, EncodedArt, Small, write_list

SMALL_PPI = 144.0  # of the small picture that the file is proved by: twice what it is rendered at
_BAND_ROWS = 256
_INCH_MM = 25.4
_OWN_PPI = 300.0  # a size at which a raster file is asked for its own pixels
_SPACES = {1: "/DeviceGray", 3: "/DeviceRGB", 4: "/DeviceCMYK"}
_HELD_BYTES = 32 << 20


@dataclass(frozen=True, slots=True)
class _Written:
    """How an artwork got into the file, the objects that it became, and what is to be said of it."""

    way: str
    objects: tuple[ArtObject, ...]
    says: str = ""


def encode_art(job: PreflightJob, into: Path) -> EncodedArt:
    """Write the artwork of a job, `job.width_mm` × `job.height_mm` on film, to `into`; returns what it is.

    Raises ArtworkRefused, MemoryError, OSError.
    """
    if job.width_mm is None or job.height_mm is None:
        raise ValueError("an artwork is encoded at a size")
    size = PrintSize(job.width_mm, job.height_mm)
    opened = open_artwork(job.path, job.page or 1, job.limits.file)
    try:
        with into.open("wb") as out:
            out.write(MARK)
            small, packed = Small(0, 0, 0), b""  # lines are proved by drawing them once more
            try:
                written = _write_lines(opened, out)
            except NoForm as why:
                out.seek(len(MARK))
                out.truncate()
                small, packed = _small_of(opened, size)  # first, for it shows whether the file is sound
                written = _write_objects(opened, size, str(why), out)
            out.write(packed)
            art = EncodedArt(written.way, written.objects, small, written.says)
            write_list(out, art)
    finally:
        opened.close()
    return art


def _write_lines(opened: OpenArtwork, out: BinaryIO) -> _Written:
    """A page of a PDF as it is. Raises NoForm where that cannot be."""
    if not isinstance(opened, OpenPdf):
        raise NoForm("the lines of this kind of file cannot be kept")
    return _Written("vector", opened.write_form(out))


def own_pixels(opened: OpenArtwork, size: PrintSize) -> Pixels:
    """A picture's own pixels, whatever the size: stretching is left to the page. A drawing at that size."""
    own = opened.artwork.pixels
    if own is None or opened.artwork.kind in ("PDF", "SVG"):
        return opened.pixels_at(size)
    return opened.pixels_at(PrintSize(*(side / _OWN_PPI * _INCH_MM for side in own)))


def _small_of(opened: OpenArtwork, size: PrintSize) -> tuple[Small, bytes]:
    pixels = own_pixels(opened, size)
    own = (pixels.width, pixels.height)  # a coarser picture stays as it is: readers smooth what they enlarge
    sides = zip(own, (size.width_mm, size.height_mm), strict=True)
    wide, high = (max(1, min(px, round(side / _INCH_MM * SMALL_PPI))) for px, side in sides)
    small = shrunk(pixels.bands(_BAND_ROWS), own, (wide, high))
    packed = zlib.compress(small.tobytes(), 1)
    return Small(wide, high, len(packed)), packed


def _write_objects(opened: OpenArtwork, size: PrintSize, why: str, out: BinaryIO) -> _Written:
    if isinstance(opened, OpenRaster):
        jpeg = opened.own_jpeg()
        if jpeg is not None:
            return _write_jpeg(jpeg, out)
        samples = opened.own_samples()
        if samples is not None:
            return _write_samples(samples, out)
    pixels = own_pixels(opened, size)
    if opened.artwork.pixels is not None and opened.artwork.kind not in ("PDF", "SVG"):
        has_colours_of_its_own = opened.artwork.colour in ("CMYK", "Lab") or opened.artwork.colour_profile
        return _write_pixels(pixels, "samples", wording.CONVERTED if has_colours_of_its_own else "", out)
    ppi = pixels.width / size.width_mm * _INCH_MM
    return _write_pixels(pixels, "rendered", wording.drawn_as_pixels(ppi, why), out)


def _write_jpeg(jpeg: WholeJpeg, out: BinaryIO) -> _Written:
    """The file itself as an image, in a form that puts it upright."""
    matrix = " ".join(str(v) for v in jpeg.matrix)
    content = f"q {matrix} cm /I Do Q".encode("ascii")
    out.write(content)
    with jpeg.path.open("rb") as source:
        shutil.copyfileobj(source, out, 1 << 20)
        length = source.tell()
    form = f"/Type /XObject /Subtype /Form /BBox [0 0 1 1] /Resources << /XObject << /I {_object(1)} >> >>"
    image = _image(jpeg.width, jpeg.height, 8, _space(jpeg.colours, jpeg.icc, 2), "/Filter /DCTDecode")
    objects = [ArtObject(form, len(content)), ArtObject(image, length)]
    return _Written("jpeg", (*objects, *_profile(jpeg.colours, jpeg.icc, out)))


def _write_samples(samples: Samples, out: BinaryIO) -> _Written:
    lengths = _pack(samples.bands(_BAND_ROWS), samples.has_alpha, out)
    space = _space(samples.colours, samples.icc, 2 if samples.has_alpha else 1)
    objects = _picture((samples.width, samples.height), samples.bits, (samples.colours, space), lengths)
    return _Written("samples", (*objects, *_profile(samples.colours, samples.icc, out)))


def _write_pixels(pixels: Pixels, way: str, says: str, out: BinaryIO) -> _Written:
    """Pixels in sRGB with transparency, as any reader gives them."""
    bands = ((band[..., :3], band[..., 3]) for band in pixels.bands(_BAND_ROWS))
    lengths = _pack(bands, True, out)
    return _Written(way, _picture((pixels.width, pixels.height), 8, (3, "/DeviceRGB"), lengths), says)


def _pack(bands: Iterator[Band], has_alpha: bool, out: BinaryIO) -> tuple[int, int]:
    """Write the colours, then the alphas of all rows; returns how long either is."""
    with tempfile.SpooledTemporaryFile(_HELD_BYTES) as aside:
        colours, alphas = RowPacker(out), RowPacker(aside)
        for colour, alpha in bands:
            colours.add(colour)
            if alpha is not None:
                alphas.add(alpha)
        colours.finish()
        if not has_alpha:
            return colours.length, 0
        alphas.finish()
        aside.seek(0)
        shutil.copyfileobj(aside, out, 1 << 20)
    return colours.length, alphas.length


def _picture(
    size: tuple[int, int], bits: int, colours: tuple[int, str], lengths: tuple[int, int]
) -> tuple[ArtObject, ...]:
    """An image and, where there is any transparency, its soft mask (ISO 32000-1 11.6.5.3)."""
    count, space = colours
    packed = packed_as(count, bits, size[0])
    if not lengths[1]:
        return (ArtObject(_image(*size, bits, space, packed), lengths[0]),)
    mask = _image(*size, bits, "/DeviceGray", packed_as(1, bits, size[0]))
    image = _image(*size, bits, space, f"{packed} /SMask {_object(1)}")
    return ArtObject(image, lengths[0]), ArtObject(mask, lengths[1])


def _image(width: int, height: int, bits: int, space: str, packed: str) -> str:
    return (
        f"/Type /XObject /Subtype /Image /Width {width} /Height {height} /BitsPerComponent {bits} "
        f"/ColorSpace {space} {packed}"
    )


def _object(number: int) -> str:
    return f"{REFERENCE}{number}{REFERENCE}"


def _space(colours: int, icc: bytes, number: int) -> str:
    return f"[/ICCBased {_object(number)}]" if icc else _SPACES[colours]


def _profile(colours: int, icc: bytes, out: BinaryIO) -> tuple[ArtObject, ...]:
    if not icc:
        return ()
    packed = zlib.compress(icc, 6)
    out.write(packed)
    entries = f"/N {colours} /Alternate {_SPACES[colours]} /Filter /FlateDecode"
    return (ArtObject(entries, len(packed)),)
