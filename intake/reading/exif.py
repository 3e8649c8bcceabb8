"""Orientation and resolution out of an EXIF block (a TIFF-structured stream inside another file)."""

from __future__ import annotations

import io
from dataclasses import dataclass

from intake.reading.stored_ppi import Stated, from_tags
from intake.reading.tags import BrokenTags, TagFile

ORIENTATION = 274


@dataclass(frozen=True, slots=True)
class ExifFacts:
    """orientation: 1 to 8, 1 when missing or nonsense; stated: None when no resolution tag is there."""

    orientation: int = 1
    stated: Stated | None = None


def read_exif(block: bytes) -> ExifFacts:
    """Facts of the first directory; a broken block says nothing."""
    block = block.removeprefix(b"Exif\0\0")
    try:
        tags = TagFile.open(io.BytesIO(block), is_lenient=True)
        directory = tags.directory(tags.first_at)
    except BrokenTags:
        return ExifFacts()
    try:
        orientation = directory.number(ORIENTATION, 1)
    except BrokenTags:
        orientation = 1
    try:
        stated = from_tags(directory, "EXIF")
    except BrokenTags:
        stated = None
    return ExifFacts(orientation if 1 <= orientation <= 8 else 1, stated)
