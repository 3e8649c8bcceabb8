"""Draws a shape given in mm as coverage 0–255, by three independent renderers.

What they do at an edge (measured on 0.1–1.7 mm bars at 300 ppi): PDFium stays within 0.001 mm of the true
width but snaps plain axis-parallel rectangles to whole pixels, so every ring is given more points than a
rectangle has; resvg quantises edges to a quarter of a pixel (up to 0.018 mm); Skia too, so it draws eight
times as large here and the areas are averaged.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

import cv2
import numpy as np
import pypdfium2  # type: ignore[import-untyped]
import resvg_py
import skia  # type: ignore[import-not-found]
from numpy.typing import NDArray
from PIL import Image
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

Bytes = NDArray[np.uint8]
RENDERERS = ("pdfium", "resvg", "skia")
SKIA_TIMES = 8


@dataclass(frozen=True)
class Sheet:
    """A canvas of whole pixels at a resolution."""

    width_px: int
    height_px: int
    ppi: float

    @property
    def mm_per_px(self) -> float:
        """Size of a pixel."""
        return 25.4 / self.ppi


def sheet_for(width_mm: float, height_mm: float, ppi: float) -> Sheet:
    """The smallest sheet that holds so much."""
    return Sheet(int(np.ceil(width_mm / 25.4 * ppi)), int(np.ceil(height_mm / 25.4 * ppi)), ppi)


def rings_of(shape: BaseGeometry) -> list[NDArray[np.float64]]:
    """All outlines and holes in mm, drawn even-odd."""
    parts = list(getattr(shape, "geoms", [shape]))
    rings = []
    for part in parts:
        if isinstance(part, Polygon) and not part.is_empty:
            rings += [np.asarray(r.coords)[:-1] for r in (part.exterior, *part.interiors)]
    return rings


def render(shape: BaseGeometry, sheet: Sheet, renderer: str, is_smooth: bool = True) -> Bytes:
    """Coverage of the shape on the sheet."""
    draw = {"pdfium": _pdfium, "resvg": _resvg, "skia": _skia}[renderer]
    return draw([r / sheet.mm_per_px for r in rings_of(shape)], sheet, is_smooth)


def _pdfium(rings: list[NDArray[np.float64]], sheet: Sheet, is_smooth: bool) -> Bytes:
    """One unit of the page is one pixel."""
    high = sheet.height_px
    paths = []
    for ring in rings:
        points = _more_points(ring)
        words = [f"{x:.5f} {high - y:.5f}" for x, y in points]
        paths.append(f"{words[0]} m " + " ".join(f"{w} l" for w in words[1:]) + " h")
    content = ("0 g " + " ".join(paths) + " f*").encode()
    document = pypdfium2.PdfDocument(_one_page_pdf(content, sheet.width_px, high))
    bitmap = document[0].render(scale=1, no_smoothpath=not is_smooth, grayscale=True)
    return np.asarray(
        255 - bitmap.to_numpy()[..., 0] if bitmap.to_numpy().ndim == 3 else 255 - bitmap.to_numpy()
    )


def _more_points(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """The ring with the middle of its first side added: PDFium then takes it for no rectangle."""
    return np.vstack([ring[0], 0.5 * (ring[0] + ring[1]), ring[1:]])


def _one_page_pdf(content: bytes, width: int, height: int) -> bytes:
    bodies = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 %d %d]/Contents 4 0 R/Resources<<>>>>" % (width, height),
        b"<</Length %d>>stream\n%s\nendstream" % (len(content), content),
    ]
    out, offsets = BytesIO(), []
    out.write(b"%PDF-1.4\n")
    for number, body in enumerate(bodies, 1):
        offsets.append(out.tell())
        out.write(b"%d 0 obj%s endobj\n" % (number, body))
    start = out.tell()
    out.write(b"xref\n0 5\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % o for o in offsets))
    out.write(b"trailer<</Size 5/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % start)
    return out.getvalue()


def _resvg(rings: list[NDArray[np.float64]], sheet: Sheet, is_smooth: bool) -> Bytes:
    path = "".join("M" + "L".join(f"{x:.5f} {y:.5f}" for x, y in ring) + "Z" for ring in rings)
    hint = "geometricPrecision" if is_smooth else "crispEdges"
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{sheet.width_px}" height="{sheet.height_px}">'
        f'<path d="{path}" fill-rule="evenodd" shape-rendering="{hint}"/></svg>'
    )
    png = resvg_py.svg_to_bytes(svg_string=svg, skip_system_fonts=True)
    return np.asarray(Image.open(BytesIO(bytes(png))).convert("RGBA"))[..., 3].copy()


def _skia(rings: list[NDArray[np.float64]], sheet: Sheet, is_smooth: bool) -> Bytes:
    times = SKIA_TIMES if is_smooth else 1
    surface = skia.Surface(sheet.width_px * times, sheet.height_px * times)
    canvas = surface.getCanvas()
    canvas.clear(0)
    builder = skia.PathBuilder()
    builder.setFillType(skia.PathFillType.kEvenOdd)
    for ring in rings:
        builder.addPolygon([skia.Point(float(x), float(y)) for x, y in ring * times], True)
    canvas.drawPath(builder.detach(), skia.Paint(AntiAlias=is_smooth, Color=0xFFFFFFFF))
    drawn = np.ascontiguousarray(surface.toarray()[..., 3])
    if times == 1:
        return drawn
    size = (sheet.width_px, sheet.height_px)
    return np.asarray(cv2.resize(drawn, size, interpolation=cv2.INTER_AREA), np.uint8)
