"""A drawing painted on nothing, tile by tile, so that memory stays the same however large the print is."""

from __future__ import annotations

import importlib.util
import io
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

import numpy as np
import resvg_py
from PIL import Image

from intake.reading import refusals
from intake.reading.svg_page import SvgPage
from intake.reading.svg_tree import SVG_SPACE, as_text

if TYPE_CHECKING:
    from numpy.typing import NDArray

TILE_BYTES = 32 << 20  # of one tile's pixels: each tile costs reading the whole drawing again
_KEPT_BYTES = 48 << 20  # of packed tiles, for a second pass
_CSS_DPI = 96.0  # without it the renderer finds every size invalid
_FONTS = (
    *("fontpkg_noto_sans", "fontpkg_noto_sans_arabic", "fontpkg_heebo"),
    *("fontpkg_noto_sans_devanagari", "fontpkg_noto_sans_thai"),
)
FAMILY = "Noto Sans"


class DrawingPicture:
    """The pixels of a drawing at a size in px (intake.facts.Pixels): straight RGBA, clear without paint."""

    has_alpha = True

    def __init__(
        self, root: Element, page: SvgPage, size: tuple[int, int], *, lossy: bool, has_text: bool
    ) -> None:
        self._root = root
        self._page = page
        self._has_text = has_text
        self.width, self.height = size
        self.lossy = lossy
        self._kept: dict[int, bytes] = {}
        self._inner = ""

    def bands(self, rows: int) -> Iterator[NDArray[np.uint8]]:
        """Yield bands of at most `rows` rows, top to bottom."""
        tall = max(1, min(self.height, TILE_BYTES // (4 * self.width)))
        tall = max(rows, tall // rows * rows) if rows < self.height else self.height
        for top in range(0, self.height, tall):
            tile = self._tile(top, min(tall, self.height - top))
            for start in range(0, tile.shape[0], rows):
                yield np.ascontiguousarray(tile[start : start + rows])

    def _tile(self, top: int, high: int) -> NDArray[np.uint8]:
        packed = self._kept.get(top)
        if packed is None:
            packed = self._paint(top, high)
            if sum(map(len, self._kept.values())) + len(packed) <= _KEPT_BYTES:
                self._kept[top] = packed
        with Image.open(io.BytesIO(packed), formats=["PNG"]) as picture:
            picture.load()
            if picture.size != (self.width, high):
                raise refusals.damaged("SVG")
            return np.asarray(picture.convert("RGBA"))

    def _paint(self, top: int, high: int) -> bytes:
        """One tile as PNG: the drawing nested in a canvas that shows rows `top` to `top + high` of it."""
        self._inner = self._inner or self._nested()
        text = (
            f'<svg xmlns="{SVG_SPACE}" width="{self.width}" height="{high}" '
            f'viewBox="0 {top} {self.width} {high}">{self._inner}</svg>'
        )
        try:
            return bytes(
                resvg_py.svg_to_bytes(
                    svg_string=text,
                    dpi=_CSS_DPI,
                    skip_system_fonts=True,
                    font_files=list(font_files()) if self._has_text else None,
                    font_family=FAMILY,
                    serif_family=FAMILY,
                    sans_serif_family=FAMILY,
                    monospace_family=FAMILY,
                    cursive_family=FAMILY,
                    fantasy_family=FAMILY,
                )
            )
        except ValueError as error:
            raise refusals.damaged("SVG") from error

    def _nested(self) -> str:
        root, page = self._root, self._page
        had = dict(root.attrib)
        view = page.view
        root.attrib.pop("x", None)
        root.attrib.pop("y", None)
        root.set("width", str(self.width))
        root.set("height", str(self.height))
        root.set(
            "viewBox", f"{view.x0:.12g} {view.y0:.12g} {view.x1 - view.x0:.12g} {view.y1 - view.y0:.12g}"
        )
        try:
            return as_text(root)
        finally:
            root.attrib.clear()
            root.attrib.update(had)


@cache
def font_files() -> tuple[str, ...]:
    """The fonts that come with filmdocket: the same letters on every machine."""
    found = []
    for package in _FONTS:
        spec = importlib.util.find_spec(package)
        for folder in (spec.submodule_search_locations or ()) if spec else ():
            found += sorted(str(path) for path in Path(folder).rglob("*.ttf"))
    return tuple(found)


def families() -> frozenset[str]:
    """The names of these fonts, in lower case."""
    return frozenset({"noto sans", "noto sans arabic", "heebo", "noto sans devanagari", "noto sans thai"})
