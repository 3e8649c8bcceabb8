"""The pixels of a raster file: decoded anew on each pass, upright, in sRGB, band by band."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import Image

from intake.reading import refusals
from intake.reading.colour import Profile, alpha_to_8_bits, colour_bands, to_srgb
from intake.reading.header import RasterHeader
from intake.reading.heif import decode_heic
from intake.reading.sniff import Kind

_STRAY = "extraneous bytes before marker"  # between segments they lose nothing of the picture
_FEW_STRAY_BYTES = 16
_CUT = "premature end"
# Where decoders speak of memory and lack none: libvips' kind of picture, libheif's limits on odd numbers.
_NO_WANT_OF_MEMORY = (
    "write to memory",
    "memory allocation error: security limit exceeded",
    "memory allocation error: invalid image size",
)
_UNKNOWN_WAYS = (
    "unsupported",
    "not supported",
    "not implemented",
    "not configured",
    "unimplemented",
    "not a whole number of bytes",
    "bad labq format",  # 8-bit CIELab
)

# EXIF orientation → quarter turns clockwise, and whether it is mirrored left to right first.
UPRIGHT = {
    1: (0, False),
    2: (0, True),
    3: (2, False),
    4: (2, True),
    5: (3, True),
    6: (1, False),
    7: (1, True),
    8: (3, False),
}


class RasterPixels:
    """Upright pixels of one picture at a wanted size, read as often as wanted, held whole only when turned.

    `on_damage` is called when the decoder had to guess at parts of the picture.
    """

    def __init__(
        self,
        path: Path,
        header: RasterHeader,
        profile: Profile,
        size: tuple[int, int],
        on_damage: Callable[[], None],
    ) -> None:
        self.width, self.height = size
        self.has_alpha = header.alpha_at is not None
        self.lossy = header.lossy
        self._path = path
        self._header = header
        self._profile = profile
        self._on_damage = on_damage

    def bands(self, rows: int) -> Iterator[NDArray[np.uint8]]:
        """Straight RGBA in sRGB, top to bottom. Raises ArtworkRefused where the data are cut or broken."""
        # One region for all bands: a sequential picture forgets what it read ahead when an operation ends.
        with Decoding(self._header.kind):
            image = self._build(forgiving=False)  # kept: a region does not hold on to a picture in memory
            region = pyvips.Region.new(image)
        for top in range(0, self.height, rows):
            count = min(rows, self.height - top)
            with Decoding(self._header.kind):
                try:
                    block = region.fetch(0, top, self.width, count)
                except pyvips.Error as error:
                    self._judge_damage(error)
                    image = self._build(forgiving=True)
                    region = pyvips.Region.new(image)
                    block = region.fetch(0, top, self.width, count)
            yield np.frombuffer(block, np.uint8).reshape(count, self.width, 4)

    def _judge_damage(self, error: pyvips.Error) -> None:
        """Let stray bytes pass, tell of broken parts that can be stepped over, raise on anything else."""
        lines = [line for line in str(error).splitlines() if "Corrupt JPEG data" in line]
        if not lines or any(_CUT in line for line in lines):
            raise error
        if not all(_STRAY in line and _count_of(line) <= _FEW_STRAY_BYTES for line in lines):
            self._on_damage()

    def _build(self, forgiving: bool) -> Any:
        is_as_stored = self._header.orientation == 1
        image = decode(self._path, self._header, is_sequential=is_as_stored, forgiving=forgiving)
        rgba = upright(_to_rgba(image, self._header, self._profile), self._header.orientation)
        return _stretched(rgba, (self.width, self.height))


def upright(image: Any, orientation: int) -> Any:
    """The picture as a person sees it, from the way that EXIF says it was stored."""
    turns, is_mirrored = UPRIGHT[orientation]
    if is_mirrored:
        image = image.fliphor()
    return image.rot(f"d{turns * 90}") if turns else image


def decode(path: Path, header: RasterHeader, is_sequential: bool, forgiving: bool = False) -> Any:
    """A lazy picture of the header's page, by the loader of its kind and no other. Raises pyvips.Error."""
    options: dict[str, Any] = {
        "access": "sequential" if is_sequential else "random",
        "fail_on": _fail_on(header.kind, forgiving),
    }
    if header.kind == Kind.BMP:
        return _decode_bmp(path)
    if header.kind == Kind.HEIC:
        return decode_heic(path)
    if header.kind == Kind.AVIF:
        return pyvips.Image.heifload(str(path), **options)
    if header.kind == Kind.TIFF:
        return pyvips.Image.tiffload(str(path), page=header.page, **options)
    load = {
        Kind.PNG: pyvips.Image.pngload,
        Kind.JPEG: pyvips.Image.jpegload,
        Kind.WEBP: pyvips.Image.webpload,
        Kind.GIF: pyvips.Image.gifload,
    }[Kind(header.kind)]
    return load(str(path), **options)


def _fail_on(kind: str, forgiving: bool) -> str:
    """JPEG tells of damage as warnings, all other kinds as errors; a missing end is never forgiven."""
    if kind != Kind.JPEG:
        return "error"
    return "truncated" if forgiving else "warning"


def _decode_bmp(path: Path) -> Any:
    """BMP through Pillow: libvips reads none."""
    Image.MAX_IMAGE_PIXELS = None  # the header was judged by the shop's own limit
    with Image.open(path, formats=["BMP"]) as picture:
        whole = picture.convert(picture.mode if picture.mode in ("L", "RGB", "RGBA") else "RGB")
    bands = len(whole.getbands())
    memory = pyvips.Image.new_from_memory(whole.tobytes(), whole.width, whole.height, bands, "uchar")
    return memory.copy(interpretation="b-w" if bands == 1 else "srgb")


def _to_rgba(image: Any, header: RasterHeader, profile: Profile) -> Any:
    if _is_rgba_already(image, header, profile):
        return image if header.covers is None else _alone_on_canvas(image, header.covers)
    colours = colour_bands(image)
    rgb = to_srgb(image.extract_band(0, n=colours), profile)
    if header.alpha_at is None or image.bands <= colours + header.alpha_at:
        rgba = rgb.bandjoin(255)
    else:
        rgba = rgb.bandjoin(alpha_to_8_bits(image[colours + header.alpha_at]))
    if header.covers is not None:
        rgba = _alone_on_canvas(rgba, header.covers)
    return rgba.copy(interpretation="srgb")


def _is_rgba_already(image: Any, header: RasterHeader, profile: Profile) -> bool:
    """The commonest case, 8-bit RGB with transparency in sRGB, needs no taking apart (half of its time)."""
    is_plain = (image.bands, str(image.format), str(image.interpretation)) == (4, "uchar", "srgb")
    return is_plain and header.alpha_at == 0 and not profile.converts


def _alone_on_canvas(rgba: Any, box: tuple[int, int, int, int]) -> Any:
    """The picture within `box`, and nothing (no background colour of the file) around it."""
    left, top, width, height = box
    if width == 0 or height == 0:
        return (rgba * 0).cast("uchar")
    return rgba.crop(left, top, width, height).embed(
        left, top, rgba.width, rgba.height, extend="background", background=[0, 0, 0, 0]
    )


def _stretched(rgba: Any, size: tuple[int, int]) -> Any:
    """Resampled to exactly `size`; colours are weighed by alpha, so that clear pixels leave no fringe."""
    if (rgba.width, rgba.height) == size:
        return rgba
    across, down = size[0] / rgba.width, size[1] / rgba.height
    kernel = "linear" if max(across, down) < 1 else "cubic"  # neither leaves ripples beside an edge
    resized = rgba.premultiply().resize(across, vscale=down, kernel=kernel)
    straight = resized.unpremultiply().rint().cast("uchar")
    if (straight.width, straight.height) == size:
        return straight
    return straight.gravity("north-west", *size, extend="copy")


def _count_of(line: str) -> int:
    before = line.split(_STRAY)[0].split()
    return int(before[-1]) if before and before[-1].isdigit() else 1 << 30


class Decoding:
    """Turns a decoder's complaint into the refusal of a damaged file, its want of memory into MemoryError."""

    def __init__(self, kind: str) -> None:
        self._kind = kind

    def __enter__(self) -> None:
        return None

    def __exit__(self, _type: object, error: BaseException | None, _trace: object) -> None:
        if not isinstance(error, pyvips.Error | OSError | SyntaxError | ValueError):
            return
        print(f"{self._kind}: {error}", file=sys.stderr)  # noqa: T201 - for the shop's log, not for people
        words = str(error).lower()
        for no_want in _NO_WANT_OF_MEMORY:
            words = words.replace(no_want, "")
        if "memory" in words:
            raise MemoryError(str(error)) from error
        if any(word in str(error).lower() for word in _UNKNOWN_WAYS):
            raise refusals.variant_not_read(self._kind) from error
        raise refusals.damaged(self._kind) from error
