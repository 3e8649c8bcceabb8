"""HEIC and AVIF pictures: what the boxes say, and the decoder of what telephones take."""

from __future__ import annotations

from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import pyvips

from intake.reading.exif import read_exif
from intake.reading.header import RasterHeader
from intake.reading.heif_header import read_heif
from intake.reading.stored_ppi import StoredPpi, put_together

_NO_RESOLUTION = StoredPpi(None, "")


def read_heif_header(kind: str, stream: BinaryIO) -> RasterHeader:
    """The header as decoders hand the picture out: upright already, turned by the file's own boxes.

    An EXIF orientation beside them is only a remark of the camera's (ISO/IEC 23008-12, A.2.1) and is not
    applied a second time. Raises BrokenHeader.
    """
    facts = read_heif(stream)
    notes: tuple[str, ...] = ()
    if facts.is_sequence:
        notes = ("The file holds a film beside its picture; only the picture is looked at.",)
    return RasterHeader(
        kind=kind,
        width=facts.upright[0],
        height=facts.upright[1],
        stored=_NO_RESOLUTION,
        bits=facts.bits,
        alpha_at=0 if facts.has_alpha else None,
        lossy=True,
        has_profile=facts.has_profile,
        largest=facts.largest,
        notes=notes,
    )


def decode_heic(path: Path) -> Any:
    """A HEIC picture, decoded whole: libvips' own build leaves its compression out."""
    import pi_heif  # type: ignore[import-untyped]  # ships no types

    try:
        found = pi_heif.open_heif(path, convert_hdr_to_8bit=True)
        bands = {"L": 1, "LA": 2, "RGB": 3, "RGBA": 4}[found.mode]
        (width, height), stride = found.size, found.stride
        rows = np.frombuffer(bytes(found.data), np.uint8)[: height * stride].reshape(height, stride)
        if width < 1 or height < 1 or stride < width * bands:
            raise IndexError("a picture without extent")
    except (RuntimeError, EOFError, KeyError, IndexError, ValueError) as error:
        raise ValueError(str(error)) from error
    data = rows[:, : width * bands].tobytes()
    image = pyvips.Image.new_from_memory(data, width, height, bands, "uchar")
    image = image.copy(interpretation="b-w" if bands < 3 else "srgb")
    for name, key in (("icc-profile-data", "icc_profile"), ("exif-data", "exif")):
        if found.info.get(key):
            image.set_type(pyvips.GValue.blob_type, name, found.info[key])
    return image


def stated_inside(image: Any) -> StoredPpi:
    """The resolution that the picture's EXIF states; these kinds have no other place for it."""
    block = image.get("exif-data") if "exif-data" in image.get_fields() else b""
    stated = read_exif(block).stated if block else None
    return put_together([stated]) if stated else _NO_RESOLUTION
