"""A tiny specimen of each kind of artwork, so that the doctor can see every decoder at work."""

from __future__ import annotations

import gzip
import struct
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

SIDE_PX = 64
_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="64" height="64">'
    '<circle cx="32" cy="32" r="24" fill="#10213f"/></svg>'
)
_EPS = (
    "%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 64 64\n%%EndComments\n"
    "0.06 0.13 0.25 setrgbcolor 32 32 24 0 360 arc fill\nshowpage\n%%EOF\n"
)


def write_specimens(folder: Path) -> list[Path]:
    """Write a 64 × 64 px disc in every kind that can be written here; returns the paths.

    Not HEIC: nothing here writes it. EPS only where an interpreter is installed, without which it is refused.
    """
    from PIL import Image, ImageDraw, features

    art = Image.new("RGBA", (SIDE_PX, SIDE_PX), (0, 0, 0, 0))
    ImageDraw.Draw(art).ellipse((8, 8, 56, 56), fill=(16, 33, 63, 255))
    kinds = ["png", "jpg", "tif", "webp", "gif", "bmp", *(["avif"] if features.check("avif") else [])]
    paths = []
    for kind in kinds:
        path = folder / f"specimen.{kind}"
        (art.convert("RGB") if kind in ("jpg", "bmp") else art).save(path)
        paths.append(path)
    return [*paths, *_write_drawings(folder), _write(folder / "specimen.psd", _psd(art))]


def _write_drawings(folder: Path) -> list[Path]:
    from reportlab.pdfgen.canvas import Canvas

    from intake.reading.eps import interpreter

    page = folder / "specimen.pdf"
    canvas = Canvas(str(page), pagesize=(72, 72), invariant=True)
    canvas.rect(10, 10, 40, 40, fill=1)
    canvas.save()
    drawings = [page, _write(folder / "specimen.svg", _SVG.encode())]
    drawings.append(_write(folder / "specimen.svgz", gzip.compress(_SVG.encode(), mtime=0)))
    if interpreter():
        drawings.append(_write(folder / "specimen.eps", _EPS.encode()))
    return drawings


def _psd(art: Image) -> bytes:
    """A flat PSD (Adobe Photoshop File Formats Specification): header, empty sections, three raw planes."""
    planes = art.convert("RGB").split()
    header = struct.pack(">4sH6xHIIHH", b"8BPS", 1, len(planes), SIDE_PX, SIDE_PX, 8, 3)
    return header + struct.pack(">IIIH", 0, 0, 0, 0) + b"".join(plane.tobytes() for plane in planes)


def _write(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path
