"""The resolution that a file states: each source by its own standard, and what they say together."""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass

from intake.reading.tags import Directory

INCH_CM = 2.54
INCH_M = 0.0254
_AGREE = 0.01  # two sources within 1 % say the same: JFIF holds whole numbers only
_WIDEST_PIXEL = 5.0  # beyond this a pixel shape is a slip of the writer, not a scanner's or fax's

_X, _Y, _UNIT = 282, 283, 296  # TIFF 6.0 section 8: XResolution, YResolution, ResolutionUnit


@dataclass(frozen=True, slots=True)
class Stated:
    """What one source says: pixels an inch in x and y, or, without a unit, only the shape of a pixel.

    pixel_shape: width ÷ height of one pixel.
    """

    source: str
    ppi: tuple[float, float] | None
    pixel_shape: float = 1.0


@dataclass(frozen=True, slots=True)
class StoredPpi:
    """What all sources say together; source "" when none is usable, "conflict" when they disagree."""

    ppi: tuple[float, float] | None
    source: str
    pixel_shape: float = 1.0
    notes: tuple[str, ...] = ()


def from_phys(x: int, y: int, unit: int) -> Stated:
    """PNG pHYs: unit 1 = pixels a metre, 0 = shape only (W3C PNG 3rd edition, 11.3.4.3)."""
    return _stated("pHYs", x, y, INCH_M if unit == 1 else None)


def from_jfif(unit: int, x: int, y: int) -> Stated:
    """JFIF density: unit 0 = shape only, 1 = inch, 2 = cm (ITU-T T.871, 10.1)."""
    return _stated("JFIF", x, y, {1: 1.0, 2: INCH_CM}.get(unit))


def from_bmp(x_per_metre: int, y_per_metre: int) -> Stated:
    """BMP: pixels a metre, 0 = not stated."""
    return _stated("BMP", x_per_metre, y_per_metre, INCH_M)


def from_tags(tags: Directory, source: str) -> Stated | None:
    """TIFF or EXIF tags: unit 1 none, 2 inch (also when missing), 3 cm (TIFF 6.0 section 8, Exif 4.6.4).

    None when both resolution tags are missing; one that is missing is taken to equal the other.
    """
    x, y = tags.numbers(_X, 1), tags.numbers(_Y, 1)
    if not x and not y:
        return None
    return _stated(source, (x or y)[0], (y or x)[0], {2: 1.0, 3: INCH_CM}.get(tags.number(_UNIT, 2)))


def from_photoshop(resources: bytes) -> Stated | None:
    """Image resource 1005: 16.16 fixed numbers, always pixels an inch; the unit beside is for show."""
    block = find_resource(resources, 1005)
    if block is None or len(block) < 16:
        return None
    x, _, _, y = struct.unpack(">IHHI", block[:12])
    return _stated("8BIM", x / 65536, y / 65536, 1.0)


def find_resource(resources: bytes, wanted: int) -> bytes | None:
    """One of a block of image resources: "8BIM", number, Pascal name, length, bytes; each padded to even."""
    at = 0
    while at + 12 <= len(resources) and resources[at : at + 4] in (
        b"8BIM",
        b"MeSa",
        b"AgHg",
        b"PHUT",
        b"DCSR",
    ):
        number, name_length = struct.unpack_from(">HB", resources, at + 4)
        at += 6 + (name_length + 2) // 2 * 2
        if at + 4 > len(resources):
            return None
        length = struct.unpack_from(">I", resources, at)[0]
        if number == wanted:
            return resources[at + 4 : at + 4 + length]
        at += 4 + (length + 1) // 2 * 2
    return None


def put_together(stated: list[Stated]) -> StoredPpi:
    """One answer from all sources: none, the first of those that agree (as ordered), or a conflict."""
    usable = [s for s in stated if s.ppi is not None]
    if not usable:
        shape = next((s.pixel_shape for s in stated if s.pixel_shape != 1.0), 1.0)
        return StoredPpi(None, "", *_plausible(shape))
    first = usable[0]
    if all(_agree(first, other) for other in usable[1:]):
        assert first.ppi is not None
        return StoredPpi(first.ppi, first.source, *_plausible(first.pixel_shape))
    told = ", ".join(f"{s.source} {_as_text(s.ppi)}" for s in usable if s.ppi)
    note = f"The file states different resolutions ({told}); none is used: pixels and print size decide."
    return StoredPpi(None, "conflict", 1.0, (note,))


def turned(stored: StoredPpi) -> StoredPpi:
    """The same after a quarter turn: x and y change places."""
    ppi = (stored.ppi[1], stored.ppi[0]) if stored.ppi else None
    return StoredPpi(ppi, stored.source, 1 / stored.pixel_shape, stored.notes)


def _stated(source: str, x: float, y: float, per_inch: float | None) -> Stated:
    if not (math.isfinite(x) and math.isfinite(y) and x > 0 and y > 0):
        return Stated(source, None)
    ppi = (x * per_inch, y * per_inch) if per_inch else None
    return Stated(source, ppi, y / x)


def _agree(one: Stated, other: Stated) -> bool:
    if one.ppi is None or other.ppi is None:
        return True
    return all(abs(a - b) <= _AGREE * max(a, b) for a, b in zip(one.ppi, other.ppi, strict=True))


def _plausible(shape: float) -> tuple[float, tuple[str, ...]]:
    if abs(shape - 1) <= _AGREE:
        return 1.0, ()
    if not 1 / _WIDEST_PIXEL <= shape <= _WIDEST_PIXEL:
        longer = max(shape, 1 / shape)
        return 1.0, (f"The file states pixels {longer:.1f} times as long as wide: taken for a slip.",)
    return shape, (f"The file's pixels are not square ({shape:.3g} : 1); the print keeps the stated shape.",)


def _as_text(ppi: tuple[float, float]) -> str:
    x, y = (f"{v:.4g}" for v in ppi)
    return f"{x} ppi" if x == y else f"{x} × {y} ppi"
