"""What an SVG element inherits and what it adds: matrix, clip, viewport, paint; and its own shape."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from xml.etree.ElementTree import Element

from intake.reading.pdf_lines import Path
from intake.reading.pdf_matrix import Box, Matrix
from intake.reading.svg_path import ellipse_path, points_path, read_path
from intake.reading.svg_values import read_length, read_numbers, read_share, read_transform

_INHERITED = (
    "fill",
    "stroke",
    "stroke-width",
    "fill-opacity",
    "stroke-opacity",
    "visibility",
    "font-family",
    "font-size",
    "color",
)
_DIAGONAL = math.sqrt(2)
_DEFAULT_FONT_PX = 16.0


@dataclass(frozen=True, slots=True)
class State:
    """Where and how an element is painted. `ctm`: user units to upright points; `viewport` in user units."""

    ctm: Matrix
    clip: Box
    viewport: tuple[float, float]
    paint: Mapping[str, str] = field(default_factory=dict)
    opacity: float = 1.0
    in_mask: bool = False

    def inside(self, element: Element) -> State:
        """The state for an element: its own properties and transform on top."""
        own = {
            name: element.get(name, "") for name in _INHERITED if element.get(name, "inherit") != "inherit"
        }
        ctm = self.ctm
        if element.get("transform"):
            ctm = read_transform(element.get("transform")).then(ctm)
        opacity = self.opacity * read_share(element.get("opacity"))
        paint = {**self.paint, **own} if own else self.paint
        return replace(self, ctm=ctm, paint=paint, opacity=opacity)

    def across(self, text: str | None, default: float = 0.0) -> float:
        """A horizontal length in user units."""
        return self._units(text, default, self.viewport[0])

    def down(self, text: str | None, default: float = 0.0) -> float:
        """A vertical length in user units."""
        return self._units(text, default, self.viewport[1])

    def any_way(self, text: str | None, default: float = 0.0) -> float:
        """A length in no direction: shares are of the viewport's diagonal ÷ √2 (SVG 2, 8.9)."""
        return self._units(text, default, math.hypot(*self.viewport) / _DIAGONAL)

    def _units(self, text: str | None, default: float, whole: float) -> float:
        length = read_length(text)
        return default if length is None else length.px(whole)

    @property
    def stroke_width(self) -> float:
        """Line width in user units."""
        return abs(self.any_way(self.paint.get("stroke-width"), 1.0))

    @property
    def font_px(self) -> float:
        """Font size in user units."""
        return self._units(self.paint.get("font-size"), _DEFAULT_FONT_PX, _DEFAULT_FONT_PX)

    def paints(self, what: str) -> bool:
        """Whether "fill" or "stroke" leaves paint at all."""
        default = "black" if what == "fill" else "none"
        colour = self.paint.get(what, default).strip().lower()
        share = read_share(self.paint.get(f"{what}-opacity"))
        hidden = self.paint.get("visibility", "visible") in ("hidden", "collapse")
        return colour not in ("none", "transparent", "") and share * self.opacity > 0 and not hidden


def shape_of(element: Element, state: State) -> Path | None:
    """The path of a shape element in its user units; None when it is no shape or draws nothing."""
    match element.tag:
        case "path":
            return read_path(element.get("d", ""))
        case "line":
            x1, x2 = state.across(element.get("x1")), state.across(element.get("x2"))
            return points_path([x1, state.down(element.get("y1")), x2, state.down(element.get("y2"))], False)
        case "polyline" | "polygon":
            return points_path(read_numbers(element.get("points")), element.tag == "polygon")
        case "rect":
            return _rectangle(element, state)
        case "circle" | "ellipse":
            return _ellipse(element, state)
    return None


def _rectangle(element: Element, state: State) -> Path | None:
    wide, high = state.across(element.get("width")), state.down(element.get("height"))
    if wide <= 0 or high <= 0:
        return None
    path = Path()
    path.rectangle(state.across(element.get("x")), state.down(element.get("y")), wide, high)
    return path


def _ellipse(element: Element, state: State) -> Path | None:
    if element.tag == "circle":
        rx = ry = state.any_way(element.get("r"))
    else:
        rx, ry = state.across(element.get("rx"), -1.0), state.down(element.get("ry"), -1.0)
        rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)
    if rx <= 0 or ry <= 0:
        return None
    return ellipse_path(state.across(element.get("cx")), state.down(element.get("cy")), rx, ry)
