"""A glyph's outline as PDF path operators: for marks that are drawn and not read."""

from __future__ import annotations

import uharfbuzz as hb


class _Pen:
    """Writes each segment as an operator (ISO 32000-1 8.5.2); curves of degree two become such of three."""

    def __init__(self) -> None:
        self.parts: list[str] = []
        self._at = (0.0, 0.0)

    def moveTo(self, point: tuple[float, float]) -> None:
        self.parts.append(f"{point[0]:g} {point[1]:g} m")
        self._at = point

    def lineTo(self, point: tuple[float, float]) -> None:
        self.parts.append(f"{point[0]:g} {point[1]:g} l")
        self._at = point

    def qCurveTo(self, control: tuple[float, float], end: tuple[float, float]) -> None:
        one, two = (
            tuple(side[k] + 2 * (control[k] - side[k]) / 3 for k in (0, 1)) for side in (self._at, end)
        )
        self.curveTo((one[0], one[1]), (two[0], two[1]), end)

    def curveTo(self, one: tuple[float, float], two: tuple[float, float], end: tuple[float, float]) -> None:
        numbers = " ".join(f"{value:.2f}" for value in (*one, *two, *end))
        self.parts.append(f"{numbers} c")
        self._at = end

    def closePath(self) -> None:
        self.parts.append("h")

    def endPath(self) -> None:
        """An open path is filled all the same."""


def path_of(font: hb.Font, gid: int) -> str:
    """The outline in units of the font, filled; empty for a glyph without ink."""
    pen = _Pen()
    font.draw_glyph_with_pen(gid, pen)
    return " ".join([*pen.parts, "f"]) if pen.parts else ""
