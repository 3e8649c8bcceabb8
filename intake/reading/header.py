"""What the bytes of a raster file's header say, before any pixel is decoded."""

from __future__ import annotations

from dataclasses import dataclass

from intake.reading.stored_ppi import StoredPpi

TURNS = {5, 6, 7, 8}  # EXIF orientations that swap width and height


@dataclass(frozen=True, slots=True)
class RasterHeader:
    """One picture of a raster file, as stored (not yet upright).

    width, height: stored pixels. orientation: 1 to 8 as in TIFF and EXIF. alpha_at: which of the samples
    beyond the colours is transparency (0 = the first), None = none is declared. page: which directory of a
    TIFF to decode, from 0. covers: left, top, width, height of what the picture covers of the canvas, None =
    all; the rest is clear. has_profile: a colour profile is embedded, whether usable or not.
    largest: the largest picture that decoding goes through, where it is not this one.
    """

    kind: str
    width: int
    height: int
    stored: StoredPpi
    orientation: int = 1
    colour: str = "RGB"
    bits: int = 8
    alpha_at: int | None = None
    lossy: bool = False
    pages: int = 1
    frames: int = 1
    page: int = 0
    covers: tuple[int, int, int, int] | None = None
    has_profile: bool = False
    largest: tuple[int, int] | None = None
    notes: tuple[str, ...] = ()

    @property
    def is_turned(self) -> bool:
        """Whether width and height change places when the picture is put upright."""
        return self.orientation in TURNS

    @property
    def upright(self) -> tuple[int, int]:
        """Width and height in pixels as a person sees the picture."""
        return (self.height, self.width) if self.is_turned else (self.width, self.height)


class BrokenHeader(Exception):
    """The header is not what its kind asks for."""
