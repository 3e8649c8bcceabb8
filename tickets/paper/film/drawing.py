"""What is drawn on film beside the art: letters as outlines, boxes, QR codes; in mm from the top left."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from tickets.paper.fonts import BOLD, Fonts, Style
from tickets.paper.outlines import path_of
from tickets.paper.qr import QUIET_MODULES, Symbol
from tickets.paper.shaping import is_rtl, shape

POINTS_A_MM = 72 / 25.4
# Height of a capital letter in ems of the shipped face (Noto Sans: 714 of 1,000 units).
CAP_EM = 0.714


class Drawing:
    """The content of one page: operators of PDF (ISO 32000-1 annex A), y upwards inside, in mm.

    No font is embedded: what is small on film is drawn as it stands, and no program can put another face in
    its place. `is_mirrored`: the whole page is printed as in a mirror.
    """

    def __init__(self, width_mm: float, length_mm: float, fonts: Fonts, *, is_mirrored: bool) -> None:
        self.width_mm, self.length_mm = width_mm, length_mm
        self._fonts = fonts
        k = POINTS_A_MM
        across = (-k, width_mm * k) if is_mirrored else (k, 0.0)
        self._parts = [f"q {across[0]:.10g} 0 0 {k:.10g} {across[1]:.10g} 0 cm"]

    def content(self) -> bytes:
        """The page's content stream."""
        return "\n".join([*self._parts, "Q\n"]).encode("ascii")

    def place(self, name: str, matrix: tuple[float, ...]) -> None:
        """An artwork whose own place is the unit square; `matrix` leads from there to mm, y upwards."""
        numbers = " ".join(f"{value:.5f}" for value in matrix)
        self._parts.append(f"q {numbers} cm /{name} Do Q")

    def fill(self, boxes: Iterable[tuple[float, float, float, float]], grey: float) -> None:
        """Boxes (x, y, width, height) filled as one shape; 0 is black, 1 white."""
        rectangles = [f"{x:.4f} {self.length_mm - y - h:.4f} {w:.4f} {h:.4f} re" for x, y, w, h in boxes]
        if rectangles:
            self._parts.append(f"{grey:g} g {' '.join(rectangles)} f")

    def write(self, x: float, base: float, text: str, cap_mm: float, *, upwards: bool = False) -> None:
        """One line of letters from x, its base line at `base`; upwards: from there to the top."""
        scale = cap_mm / CAP_EM
        turn = "0 1 -1 0" if upwards else "1 0 0 1"
        self._parts.append(
            f"q 0 g {turn} {x:.4f} {self.length_mm - base:.4f} cm {scale:.5f} 0 0 {scale:.5f} 0 0 cm"
        )
        self._parts.append(_outlines(text, self._fonts, BOLD))
        self._parts.append("Q")

    def width_of(self, text: str, cap_mm: float) -> float:
        """How wide a line is in mm, its letters so high."""
        return _width(text, self._fonts, BOLD) * cap_mm / CAP_EM

    def qr(self, symbol: Symbol, x: float, y: float, side_mm: float) -> None:
        """A QR code with its quiet zone in a square; white is printed behind it, for film is clear."""
        module = side_mm / (symbol.side + 2 * QUIET_MODULES)
        quiet = QUIET_MODULES * module
        self.fill([(x, y, side_mm, side_mm)], 1.0)
        dark = [
            (x + quiet + column * module, y + quiet + row * module, module, module)
            for row, modules in enumerate(symbol.modules)
            for column, is_dark in enumerate(modules)
            if is_dark
        ]
        self.fill(dark, 0.0)


@lru_cache(maxsize=2048)
def _outlines(text: str, fonts: Fonts, style: Style) -> str:
    """The outlines of a line's letters, in ems."""
    parts = []
    for run in shape(text, fonts, style, is_rtl(text)).runs:
        if run.face is None:
            continue
        scale = 1 / run.face.hb_face.upem
        for glyph in run.glyphs:
            path = path_of(run.face.font(run.style), glyph.gid)
            if path:
                at = f"{run.x + glyph.x:.4f} {glyph.y:.4f}"
                parts.append(f"q {scale:.8f} 0 0 {scale:.8f} {at} cm {path} Q")
    return "\n".join(parts)


@lru_cache(maxsize=2048)
def _width(text: str, fonts: Fonts, style: Style) -> float:
    return shape(text, fonts, style, is_rtl(text)).width
