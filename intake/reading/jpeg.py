"""The header of a JPEG file, marker by marker (ITU-T T.81, T.871 for JFIF, T.872 for Adobe's marker)."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import BinaryIO

from intake.reading.exif import ExifFacts, read_exif
from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.stored_ppi import Stated, from_jfif, from_photoshop, put_together

SOI, EOI, SOS = 0xD8, 0xD9, 0xDA
_FRAMES = set(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # SOF markers; C4, C8, CC are tables
_COLOURS = {1: "grey", 3: "RGB", 4: "CMYK"}
_MOST_RESOURCES = 32 << 20
_MOST_STRAY = 1 << 16
_MOST_STRAYS = 1000
_MOST_SEGMENTS = 200_000


def segments(stream: BinaryIO) -> Iterator[tuple[int, int, int]]:
    """Marker, where its bytes begin, their length; up to and with the first SOS, or where the file ends."""
    at, strays = 2, 0
    for _ in range(_MOST_SEGMENTS):
        stream.seek(at)
        head = stream.read(4)
        if len(head) < 4:
            return
        if head[0] != 0xFF:  # stray bytes between segments: look for the next marker
            block = head + stream.read(_MOST_STRAY)
            strays += 1
            if b"\xff" not in block or strays > _MOST_STRAYS:
                return
            at += block.index(b"\xff")
            continue
        marker = head[1]
        if marker in (0x00, 0xFF, 0x01, SOI) or 0xD0 <= marker <= 0xD7:
            at += 1 if marker in (0x00, 0xFF) else 2
            continue
        length = struct.unpack(">H", head[2:])[0]
        if marker == EOI or length < 2:
            return
        yield marker, at + 4, length - 2
        if marker == SOS:
            return
        at += 2 + length


class _Segments:
    """What the segments before the picture data hold."""

    def __init__(self, stream: BinaryIO) -> None:
        self.frame = b""
        self.frame_marker = 0
        self.jfif: Stated | None = None
        self.exif: ExifFacts | None = None
        self.has_adobe = False
        self.resources = b""
        for marker, at, length in segments(stream):
            if marker in _FRAMES or marker in (0xE0, 0xE1, 0xED, 0xEE):
                stream.seek(at)
                self._take(marker, stream.read(length))

    def _take(self, marker: int, block: bytes) -> None:
        if marker in _FRAMES and not self.frame:
            self.frame, self.frame_marker = block, marker
        elif marker == 0xE0 and block.startswith(b"JFIF\0") and len(block) >= 12 and self.jfif is None:
            self.jfif = from_jfif(*struct.unpack(">BHH", block[7:12]))
        elif marker == 0xE1 and block.startswith(b"Exif\0") and self.exif is None:
            self.exif = read_exif(block[6:])
        elif (
            marker == 0xED and block.startswith(b"Photoshop 3.0\0") and len(self.resources) < _MOST_RESOURCES
        ):
            self.resources += block[14:]  # a long block goes on in the next segment of the same kind
        elif marker == 0xEE and block.startswith(b"Adobe") and len(block) >= 12:
            self.has_adobe = True


def read_jpeg(stream: BinaryIO) -> RasterHeader:
    """The header of a JPEG picture. Raises BrokenHeader when no frame is described."""
    found = _Segments(stream)
    if len(found.frame) < 6:
        raise BrokenHeader("no frame")
    bits, height, width, components = struct.unpack(">BHHB", found.frame[:6])
    if components not in _COLOURS:
        raise BrokenHeader(f"{components} components")
    exif = found.exif or ExifFacts()
    stored = put_together(
        [s for s in (found.jfif, exif.stated, from_photoshop(found.resources)) if s is not None]
    )
    notes = stored.notes
    if components == 4 and not found.has_adobe:
        notes += (
            "The file holds four inks but does not say whether full ink is stored as 0 or as 255; it was "
            "read as most programs do (full ink 0). If light and dark have changed places, please send RGB.",
        )
    return RasterHeader(
        kind="JPEG",
        width=width,
        height=height,
        stored=stored,
        orientation=exif.orientation,
        colour=_COLOURS[components],
        bits=bits,
        lossy=found.frame_marker not in (0xC3, 0xC7, 0xCB, 0xCF),
        notes=notes,
    )
