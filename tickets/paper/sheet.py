"""Pages to draw on, in millimetres from the top left corner: text in any script, rules, pictures."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Literal

from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from tickets.paper.embedding import EmbeddedFont
from tickets.paper.fitting import MM_A_POINT, Box, Fitted, Setting, fit
from tickets.paper.fonts import PLAIN, Face, Fonts, Style
from tickets.paper.outlines import path_of
from tickets.paper.shaping import BOX_EM, Glyph, Run, Shaped, is_rtl, shape

Colour = tuple[float, float, float]
Align = Literal["left", "right", "centre"]
VerticalAlign = Literal["top", "middle", "bottom"]
INK: Colour = (0.09, 0.09, 0.11)
GREY: Colour = (0.38, 0.38, 0.41)
FAINT: Colour = (0.72, 0.72, 0.74)
PALE: Colour = (0.945, 0.945, 0.935)
WHITE: Colour = (1.0, 1.0, 1.0)
BLACK: Colour = (0.0, 0.0, 0.0)
_HEX_SIZE = 0.34  # size of the digits in the box of a character without a face, in sizes of the text


class Sheet:
    """A document of pages of one size. `missing` and `was_cut` tell what could not be printed as it was."""

    def __init__(self, width_mm: float, height_mm: float, fonts: Fonts, *, title: str, author: str) -> None:
        self.width = width_mm
        self.height = height_mm
        self.fonts = fonts
        self.missing: set[str] = set()
        self.was_cut = False
        self._embedded: dict[tuple[Face, Style], EmbeddedFont] = {}
        self._file = io.BytesIO()
        rl_config.useA85 = 0  # streams as they are: text armour makes them larger and costs half the time
        size = (width_mm / MM_A_POINT, height_mm / MM_A_POINT)
        # Invariant: no clock and no random mark in the file, so that the same values give the same bytes.
        self._canvas = Canvas(self._file, pagesize=size, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setAuthor(author)
        self._canvas.setCreator("filmdocket")

    def next_page(self) -> None:
        """Go on on a fresh page."""
        self._canvas.showPage()

    def finish(self) -> bytes:
        """The document."""
        self._canvas.showPage()
        self._canvas.save()
        return self._file.getvalue()

    # Text

    def width_of(self, text: str, size: float, style: Style = PLAIN) -> float:
        """How wide a line is, in mm at a size in points."""
        return shape(text, self.fonts, style, is_rtl(text)).width * size * MM_A_POINT

    def write(
        self, x: float, base: float, text: str, size: float, style: Style = PLAIN, colour: Colour = INK
    ) -> float:
        """One line from x to the right, its base line at `base`; returns its width in mm."""
        line = shape(text, self.fonts, style, is_rtl(text))
        self._draw_line(line, text, x, base, size, colour)
        return line.width * size * MM_A_POINT

    def write_upwards(
        self, x: float, middle: float, text: str, size: float, style: Style = PLAIN, colour: Colour = INK
    ) -> None:
        """One line from the bottom to the top, centred on `middle`, its base line at x."""
        half = self.width_of(text, size, style) / 2
        self._canvas.saveState()
        self._canvas.translate(x / MM_A_POINT, (self.height - middle) / MM_A_POINT)
        self._canvas.rotate(90)
        self.write(-half, self.height, text, size, style, colour)
        self._canvas.restoreState()

    def write_in(
        self,
        box: Box,
        text: str,
        setting: Setting,
        colour: Colour = INK,
        align: Align = "left",
        valign: VerticalAlign = "top",
    ) -> Fitted:
        """A text fitted into a box; what did not fit shows as an ellipsis and is remembered in `was_cut`."""
        block = fit(text, box, setting, self.fonts)
        overflows = block.height_mm > box.height + 0.05 or any(
            line.width * block.size * MM_A_POINT > box.width + 0.3 for line in block.lines
        )
        self.was_cut = self.was_cut or block.was_cut or overflows
        slack = max(0.0, box.height - block.height_mm)
        first = box.y + {"top": 0.0, "middle": slack / 2, "bottom": slack}[valign] + block.top_mm
        with self._clipped(box, overflows):
            for number, (line, text_of_line) in enumerate(zip(block.lines, block.texts, strict=True)):
                spare = box.width - line.width * block.size * MM_A_POINT
                x = box.x + {"left": 0.0, "centre": spare / 2, "right": spare}[align]
                base = first + number * block.step_mm
                self._draw_line(line, text_of_line, x, base, block.size, colour)
        return block

    @contextmanager
    def _clipped(self, box: Box, clips: bool) -> Iterator[None]:
        if not clips:
            yield
            return
        self._canvas.saveState()
        path = self._canvas.beginPath()
        path.rect(*self._rectangle(box))
        self._canvas.clipPath(path, stroke=0, fill=0)
        yield
        self._canvas.restoreState()

    def _draw_line(self, line: Shaped, text: str, x: float, base: float, size: float, colour: Colour) -> None:
        self.missing |= line.missing
        fonts = [self._font_of(run.face, run.style) if run.face else None for run in line.runs]
        plain = [font is not None and font.tells(run) for run, font in zip(line.runs, fonts, strict=True)]
        # Where glyphs tell their parts, readers find the order by themselves, from right to left too.
        says_itself = all(plain)
        if not says_itself:
            said = text.encode("utf-16-be", "replace").hex().upper()
            self._canvas.addLiteral(f"/Span <</ActualText <FEFF{said}>>> BDC")
        for run, font in zip(line.runs, fonts, strict=True):
            left = x + run.x * size * MM_A_POINT
            if font is None:
                self._draw_missing(run.text[0], left, base, size, colour)
            else:
                self._draw_run(run, font, left, base, size, colour)
        if not says_itself:
            self._canvas.addLiteral("EMC")

    def _draw_run(
        self, run: Run, font: EmbeddedFont, x: float, base: float, size: float, colour: Colour
    ) -> None:
        left, bottom = x / MM_A_POINT, (self.height - base) / MM_A_POINT
        rgb = " ".join(f"{part:.3f}" for part in colour)
        begin = f"BT {rgb} rg /{font.internal_name} {size:.3f} Tf 1 0 0 1 {left:.3f} {bottom:.3f} Tm"
        read = [glyph for glyph in run.glyphs if glyph.text or not run.is_rtl]
        self._canvas.addLiteral(f"{begin} {' '.join(_shown(read, font, size))} ET")
        scale = size / font.face.hb_face.upem
        for glyph in run.glyphs:
            path = "" if glyph.text or not run.is_rtl else path_of(font.face.font(run.style), glyph.gid)
            if path:
                at = f"{left + glyph.x * size:.3f} {bottom + glyph.y * size:.3f}"
                self._canvas.addLiteral(f"q {rgb} rg {scale:.6f} 0 0 {scale:.6f} {at} cm {path} Q")

    def _draw_missing(self, character: str, x: float, base: float, size: float, colour: Colour) -> None:
        """A box with the character's number in it, so that nobody takes the text for whole."""
        em = size * MM_A_POINT
        self.outline(Box(x + 0.06 * em, base - 0.76 * em, (BOX_EM - 0.12) * em, 0.92 * em), 0.06 * em, colour)
        digits = f"{ord(character):04X}"
        halves = (digits[:-2], digits[-2:])
        for half, row in zip(halves, (0.38, 0.02), strict=True):
            small = size * _HEX_SIZE * (2 / max(2, len(half)))
            width = self.width_of(half, small)
            line = shape(half, self.fonts, PLAIN)
            font = self._font_of(self.fonts.faces[0], PLAIN)
            for run in line.runs:
                self._draw_run(run, font, x + (BOX_EM * em - width) / 2, base - row * em, small, colour)

    def _font_of(self, face: Face, style: Style) -> EmbeddedFont:
        if (face, style) not in self._embedded:
            font = EmbeddedFont(face, style, len(self._embedded) + 1)
            document = self._canvas._doc  # type: ignore[attr-defined]  # where reportlab's own fonts enlist
            document.fontMapping[font.fontName] = "/" + font.internal_name
            document.delayedFonts.append(font)
            self._embedded[face, style] = font
        return self._embedded[face, style]

    # Lines, fields, pictures

    def area(self, corners: Sequence[tuple[float, float]], fill: Colour, mm: float, colour: Colour) -> None:
        """A closed form of these corners (x, y), filled, with a line so many mm thick round it."""
        path = self._canvas.beginPath()
        for number, (x, y) in enumerate(corners):
            to = path.lineTo if number else path.moveTo
            to(x / MM_A_POINT, (self.height - y) / MM_A_POINT)
        path.close()
        self._canvas.setFillColorRGB(*fill)
        self._canvas.setStrokeColorRGB(*colour)
        self._canvas.setLineWidth(mm / MM_A_POINT)
        self._canvas.drawPath(path, stroke=1, fill=1)

    def rule(self, x1: float, y1: float, x2: float, y2: float, mm: float, colour: Colour = INK) -> None:
        """A straight line, so many mm thick."""
        self._canvas.setStrokeColorRGB(*colour)
        self._canvas.setLineWidth(mm / MM_A_POINT)
        ends = (x1, self.height - y1, x2, self.height - y2)
        self._canvas.line(*(v / MM_A_POINT for v in ends))

    def fill(self, box: Box, colour: Colour, share: float = 1.0) -> None:
        """A filled rectangle, covering the share of what lies under it."""
        self._canvas.setFillColorRGB(*colour)
        if share >= 1.0:
            self._canvas.rect(*self._rectangle(box), stroke=0, fill=1)
            return
        self._canvas.saveState()
        self._canvas.setFillAlpha(share)
        self._canvas.rect(*self._rectangle(box), stroke=0, fill=1)
        self._canvas.restoreState()

    def knock_out(self, box: Box, x: float, base: float, text: str, size: float, colour: Colour) -> None:
        """A filled rectangle with one plain line of text left open in it, its base line at `base`."""
        left, bottom, width, height = self._rectangle(box)
        line = shape(text, self.fonts, PLAIN, is_rtl(text))
        paths = []
        for run in line.runs:
            if run.face is None:
                continue
            scale = size / run.face.hb_face.upem
            for glyph in run.glyphs:
                at_x = (x + run.x * size * MM_A_POINT) / MM_A_POINT + glyph.x * size
                at_y = (self.height - base) / MM_A_POINT + glyph.y * size
                path = path_of(run.face.font(run.style), glyph.gid)
                paths.append(_placed(path, scale, at_x, at_y))
        rgb = " ".join(f"{part:.3f}" for part in colour)
        frame = f"{left:.3f} {bottom:.3f} {width:.3f} {height:.3f} re"
        self._canvas.addLiteral(f"q {rgb} rg {frame} {' '.join(paths)} f* Q")

    def outline(self, box: Box, mm: float, colour: Colour = INK) -> None:
        """A rectangle's outline, so many mm thick, centred on its edge."""
        self._canvas.setStrokeColorRGB(*colour)
        self._canvas.setLineWidth(mm / MM_A_POINT)
        self._canvas.rect(*self._rectangle(box), stroke=1, fill=0)

    def disc(self, x: float, y: float, radius: float, colour: Colour) -> None:
        """A filled disc round (x, y)."""
        self._canvas.setFillColorRGB(*colour)
        centre = (x / MM_A_POINT, (self.height - y) / MM_A_POINT)
        self._canvas.circle(*centre, radius / MM_A_POINT, stroke=0, fill=1)

    def fill_all(self, boxes: Iterable[Box], colour: Colour = INK) -> None:
        """Many rectangles as one shape, so that neighbours leave no hairline between them."""
        path = self._canvas.beginPath()
        for box in boxes:
            path.rect(*self._rectangle(box))
        self._canvas.setFillColorRGB(*colour)
        self._canvas.drawPath(path, stroke=0, fill=1)

    def polygon(self, points: Sequence[tuple[float, float]], colour: Colour) -> None:
        """A filled shape through these points."""
        path = self._canvas.beginPath()
        path.moveTo(points[0][0] / MM_A_POINT, (self.height - points[0][1]) / MM_A_POINT)
        for x, y in points[1:]:
            path.lineTo(x / MM_A_POINT, (self.height - y) / MM_A_POINT)
        path.close()
        self._canvas.setFillColorRGB(*colour)
        self._canvas.drawPath(path, stroke=0, fill=1)

    def image(self, box: Box, picture: object, masked: bool = False) -> None:
        """A Pillow picture, stretched to the box; `masked`: with its transparency."""
        x, y, width, height = self._rectangle(box)
        mask = "auto" if masked else None
        self._canvas.drawImage(ImageReader(picture), x, y, width, height, mask=mask)

    def _rectangle(self, box: Box) -> tuple[float, float, float, float]:
        bottom = self.height - box.y - box.height
        return (
            box.x / MM_A_POINT,
            bottom / MM_A_POINT,
            box.width / MM_A_POINT,
            box.height / MM_A_POINT,
        )


def _placed(path: str, scale: float, x: float, y: float) -> str:
    """An outline in units of its font, scaled and moved, without the operator that fills it."""
    parts, is_across = [], True
    for part in path.split()[:-1]:
        if part.isalpha():
            parts.append(part)
            continue
        parts.append(f"{float(part) * scale + (x if is_across else y):.4f}")
        is_across = not is_across
    return " ".join(parts)


def _shown(glyphs: Sequence[Glyph], font: EmbeddedFont, size: float) -> Iterator[str]:
    """The operators that show glyphs: codes, and the pen moved where one stands off its natural place."""
    pen, rise = 0.0, 0.0
    parts: list[str] = []
    for glyph in glyphs:
        if abs(glyph.y - rise) > 0.0005:
            if parts:
                yield f"[{''.join(parts)}] TJ"
            rise = glyph.y
            parts = []
            yield f"{rise * size:.3f} Ts"
        if abs(glyph.x - pen) > 0.0005:
            parts.append(f"{(pen - glyph.x) * 1000:.1f} ")
        parts.append(f"<{font.code_of(glyph):04X}>")
        pen = glyph.x + font.natural_width(glyph.gid)
    if parts:
        yield f"[{''.join(parts)}] TJ"
    if rise:
        yield "0 Ts"
