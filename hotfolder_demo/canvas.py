"""A sheet to draw on in millimetres: everything is drawn three times too large and comes out anti-aliased."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from PIL import Image, ImageDraw, ImageFilter, ImageFont

OVERSIZE = 3
MM_PER_INCH = 25.4

Colour = str | tuple[int, int, int] | tuple[int, int, int, int]
Point = tuple[float, float]
NOTHING: Colour = (0, 0, 0, 0)


class Canvas:
    """A drawing of `width_mm` × `height_mm` at `ppi` pixels an inch; `ground` None: transparent.

    Positions are mm from the top left corner.
    """

    def __init__(self, width_mm: float, height_mm: float, ppi: float = 300, ground: Colour = NOTHING) -> None:
        self.ppi = ppi
        self._size = (round(width_mm * ppi / MM_PER_INCH), round(height_mm * ppi / MM_PER_INCH))
        large = (self._size[0] * OVERSIZE, self._size[1] * OVERSIZE)
        self._scale = large[0] / width_mm
        self._picture = Image.new("RGBA", large, ground)
        self._pen = ImageDraw.Draw(self._picture)

    def disc(self, centre: Point, radius_mm: float, colour: Colour, squash: float = 1) -> None:
        """A filled circle, or with `squash` below 1 an ellipse of less height."""
        x, y = centre
        self._pen.ellipse(
            self._box(x - radius_mm, y - radius_mm * squash, x + radius_mm, y + radius_mm * squash),
            fill=colour,
        )

    def ring(self, centre: Point, radius_mm: float, width_mm: float, colour: Colour) -> None:
        """A circle drawn with a pen, its middle at the radius."""
        outer = radius_mm + width_mm / 2
        x, y = centre
        self._pen.ellipse(
            self._box(x - outer, y - outer, x + outer, y + outer),
            outline=colour,
            width=round(width_mm * self._scale),
        )

    def shape(self, points: Sequence[Point], colour: Colour) -> None:
        """A filled outline."""
        self._pen.polygon([self._at(p) for p in points], fill=colour)

    def line(self, points: Sequence[Point], width_mm: float, colour: Colour, round_ends: bool = True) -> None:
        """A line through points, with round joints and ends."""
        width = max(1, round(width_mm * self._scale))
        self._pen.line([self._at(p) for p in points], fill=colour, width=width, joint="curve")
        for end in (points[0], points[-1]) if round_ends else ():
            self.disc(end, width_mm / 2, colour)

    def ribbon(self, middle: Sequence[Point], width_mm: float, colour: Colour) -> None:
        """A band of even height along a line from left to right; no joints that could leave pinholes."""
        above = [(x, y - width_mm / 2) for x, y in middle]
        below = [(x, y + width_mm / 2) for x, y in reversed(middle)]
        self.shape([*above, *below], colour)

    def bar(self, left: float, top: float, width_mm: float, height_mm: float, colour: Colour) -> None:
        """A rectangle."""
        self._pen.rectangle(self._box(left, top, left + width_mm, top + height_mm), fill=colour)

    def words(
        self, text: str, centre: Point, capital_mm: float, colour: Colour, spacing: float = 0.12
    ) -> None:
        """A line of capitals, `capital_mm` tall, letters set apart by `spacing` of their height."""
        font = self._font(capital_mm)
        widths = [font.getlength(c) / self._scale + spacing * capital_mm for c in text]
        x = centre[0] - (sum(widths) - spacing * capital_mm) / 2
        for letter, width in zip(text, widths, strict=True):
            self._pen.text(
                self._at((x, centre[1] + capital_mm / 2)), letter, font=font, fill=colour, anchor="ls"
            )
            x += width

    def words_round(
        self, text: str, centre: Point, radius_mm: float, capital_mm: float, colour: Colour
    ) -> None:
        """Capitals round the top of a circle; with a negative radius round its bottom, to be read upright."""
        font = self._font(capital_mm)
        inside = radius_mm < 0
        radius = abs(radius_mm)
        widths = [font.getlength(c) / self._scale + 0.16 * capital_mm for c in text]
        angle = -sum(widths) / radius / 2
        for letter, width in zip(text, widths, strict=True):
            middle = angle + width / radius / 2
            turn = -middle if inside else middle
            side = 1 if inside else -1
            at = (centre[0] + radius * math.sin(middle), centre[1] + side * radius * math.cos(middle))
            self._letter(letter, at, math.degrees(-turn), font, colour)
            angle += width / radius

    def soften(self, radius_mm: float) -> None:
        """Blur everything drawn so far: what a soft shadow is made of."""
        self._picture = self._picture.filter(ImageFilter.GaussianBlur(radius_mm * self._scale))
        self._pen = ImageDraw.Draw(self._picture)

    def finish(self) -> Image.Image:
        """The drawing in its own size, edges smoothed."""
        return self._picture.resize(self._size, Image.Resampling.BOX)

    def _letter(
        self, letter: str, at: Point, degrees: float, font: ImageFont.FreeTypeFont, colour: Colour
    ) -> None:
        side = round(font.size * 2.4)
        stamp = Image.new("L", (side, side), 0)
        capital = font.getbbox("H", anchor="ls")
        ImageDraw.Draw(stamp).text(
            (side / 2, side / 2 - capital[1] / 2), letter, font=font, fill=255, anchor="ms"
        )
        turned = stamp.rotate(degrees, Image.Resampling.BICUBIC)
        x, y = self._at(at)
        flat = Image.new("RGBA", turned.size, colour)
        self._picture.paste(flat, (round(x - side / 2), round(y - side / 2)), turned)

    def _font(self, capital_mm: float) -> ImageFont.FreeTypeFont:
        return bold_font(round(capital_mm / 0.714 * self._scale))  # Noto Sans: capitals are 0.714 of the size

    def _at(self, point: Point) -> Point:
        return (point[0] * self._scale, point[1] * self._scale)

    def _box(self, left: float, top: float, right: float, bottom: float) -> tuple[float, float, float, float]:
        return (left * self._scale, top * self._scale, right * self._scale, bottom * self._scale)


@cache
def bold_font(pixels: int) -> ImageFont.FreeTypeFont:
    """A bold face that has Latin, Greek and Cyrillic, from a font package."""
    font = ImageFont.truetype(str(files("fontpkg_noto_sans") / "files" / "NotoSans[wdth,wght].ttf"), pixels)
    font.set_variation_by_axes([100, 800] if _axes(font)[0] == "Width" else [800, 100])
    return font


def _axes(font: ImageFont.FreeTypeFont) -> list[str]:
    return [
        str(a["name"], "ascii") if isinstance(a["name"], bytes) else str(a["name"])
        for a in font.get_variation_axes()
    ]


def curve(start: Point, pull: Point, pull_end: Point, end: Point, steps: int = 24) -> list[Point]:
    """Points along a cubic Bézier curve."""
    found = []
    for step in range(steps + 1):
        t = step / steps
        a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        found.append(
            (
                a * start[0] + b * pull[0] + c * pull_end[0] + d * end[0],
                a * start[1] + b * pull[1] + c * pull_end[1] + d * end[1],
            )
        )
    return found


def wave(left: float, right: float, middle: float, swing: float, waves: float) -> list[Point]:
    """Points along a sine wave from left to right."""
    steps = 160
    return [
        (left + (right - left) * i / steps, middle + swing * math.sin(2 * math.pi * waves * i / steps))
        for i in range(steps + 1)
    ]


def star(centre: Point, outer: float, inner: float, rays: int, turn: float = 0) -> list[Point]:
    """The outline of a star."""
    return [
        (
            centre[0] + (outer if i % 2 == 0 else inner) * math.sin(math.pi * i / rays + turn),
            centre[1] - (outer if i % 2 == 0 else inner) * math.cos(math.pi * i / rays + turn),
        )
        for i in range(2 * rays)
    ]
