"""Drawings written for the tests, and what the reader makes of them."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from config.settings import FileLimits, load_settings
from intake.facts import Artwork, PrintSize
from intake.reading import open_artwork
from intake.reading.svg import OpenSvg, open_svg

LIMITS: FileLimits = load_settings(None, {}).limits.file
MADE = Path(__file__).parents[2] / "data" / "artwork_svg"
SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def svg(body: str, attributes: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> str:
    """A whole drawing, 100 × 100 mm with one unit a mm unless said otherwise."""
    return f"<svg {SPACES} {attributes}>{body}</svg>"


def opened(text: str | bytes, folder: Path, name: str = "a.svg") -> OpenSvg:
    """The drawing as opened from a file."""
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    found = open_artwork(path, 1, LIMITS)
    assert isinstance(found, OpenSvg)
    return found


def read(text: str | bytes, folder: Path) -> Artwork:
    """The facts of a drawing."""
    return opened(text, folder).artwork


def made(name: str) -> Artwork:
    """The facts of one of the small files."""
    return open_svg(MADE / name, 1, LIMITS).artwork


def strokes_mm(art: Artwork, kind: str = "stroke") -> list[float]:
    """Width in mm of each line, thinnest first; all of them must be of one kind."""
    assert {line.kind for line in art.strokes} <= {kind}
    return [round(line.width_pt * 25.4 / 72, 4) for line in art.strokes]


def painted(drawing: OpenSvg, width_mm: float = 20.0, rows: int = 128) -> NDArray[np.uint8]:
    """The pixels at a print width."""
    size = PrintSize(width_mm, width_mm / drawing.artwork.shape)
    return np.concatenate(list(drawing.pixels_at(size).bands(rows)))


def picture_href(width: int, height: int, kind: str = "PNG", colour: str = "red") -> str:
    """A picture of so many pixels as a `data:` address; two colours, so that it is not plain."""
    picture = Image.new("RGB", (width, height), colour)
    picture.putpixel((0, 0), (0, 0, 255))
    out = io.BytesIO()
    picture.save(out, kind)
    return f"data:image/{kind.lower()};base64," + base64.b64encode(out.getvalue()).decode()
