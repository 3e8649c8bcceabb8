"""What an image XObject is by itself, without decoding more than a stamp's worth of it."""

from __future__ import annotations

from typing import Any

import pikepdf

from intake.reading.pdf_painted import ImageSource
from intake.reading.pdf_values import number, plain_name

_LOOKED_THROUGH_PX = 256 * 256
_MOST_PACKED_BYTES = 100_000
_UNPACKED = {
    "FlateDecode",
    "Fl",
    "LZWDecode",
    "LZW",
    "RunLengthDecode",
    "RL",
    "ASCII85Decode",
    "ASCIIHexDecode",
}


def source_of(image: Any) -> ImageSource:
    """Size, packings, and whether a small image is one colour (a plain area drawn as a picture)."""
    pixels = int(number(image.get("/Width"), 0)), int(number(image.get("/Height"), 0))
    filters = _filters(image)
    return ImageSource(pixels, filters, is_plain=pixels == (1, 1) or _is_one_colour(image, pixels, filters))


def _filters(image: Any) -> tuple[str, ...]:
    named = image.get("/Filter")
    if isinstance(named, pikepdf.Array):
        return tuple(plain_name(one) for one in list(named)[:20])
    return (plain_name(named),) if named is not None else ()


def _is_one_colour(image: Any, pixels: tuple[int, int], filters: tuple[str, ...]) -> bool:
    """Whether all samples are the same; False for what is large, packed as a photo or colour-keyed."""
    count = pixels[0] * pixels[1]
    if not 1 < count <= _LOOKED_THROUGH_PX or not set(filters) <= _UNPACKED:
        return False
    if (
        isinstance(image.get("/Mask"), pikepdf.Array)
        or int(number(image.get("/Length"), 0)) > _MOST_PACKED_BYTES
    ):
        return False
    try:
        samples = bytes(image.read_bytes())
    except (pikepdf.PdfError, RuntimeError, ValueError):
        return False
    step, rest = divmod(len(samples), count)
    if step == 0 or rest:  # fewer than 8 bits a sample: rows end in padding
        return len(samples) > 0 and len(set(samples)) == 1
    return samples == samples[:step] * count
