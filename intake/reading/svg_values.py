"""The small languages inside SVG attributes: lengths, numbers, transforms, view boxes, references."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from intake.reading.pdf_matrix import Box, Matrix

PX_TO_POINTS = 0.75  # a CSS px is 1/96 inch (CSS Values 3, 6.2)
_EM_PX = 16.0
_MOST_NUMBERS = 4_000_000
NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(NUMBER)
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z%]*)\s*")
_TRANSFORM = re.compile(r"(?<![a-zA-Z])([a-zA-Z]+)\s*\(([^()]*)\)")
_REFERENCE = re.compile(r"url\(([^()]*)\)")

# Unit → CSS px (CSS Values 3, 6.2). Of em, ex and the like only the default font size is known.
_PX = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
    "em": _EM_PX,
    "rem": _EM_PX,
    "ex": _EM_PX / 2,
    "ch": _EM_PX / 2,
}
PHYSICAL_UNITS = frozenset({"", "px", "in", "cm", "mm", "q", "pt", "pc"})


class Length(NamedTuple):
    """A length as written; `unit` in lower case, "%" for a share of the viewport."""

    value: float
    unit: str

    def px(self, whole: float) -> float:
        """The length in px, or user units; `whole` is what 100 % would be."""
        return self.value / 100 * whole if self.unit == "%" else self.value * _PX.get(self.unit, 1.0)

    @property
    def is_physical(self) -> bool:
        """Whether the unit says how long it is on paper."""
        return self.unit in PHYSICAL_UNITS


def read_length(text: str | None) -> Length | None:
    """A length; None when missing or not one."""
    found = _LENGTH.fullmatch(text) if text and len(text) < 100 else None
    if found is None:
        return None
    value, unit = float(found[1]), found[2].lower()
    if not math.isfinite(value) or not (unit in _PX or unit in ("%", "vw", "vh", "vmin", "vmax")):
        return None
    return Length(value, "%" if unit.startswith("v") else unit)


def read_numbers(text: str | None) -> list[float]:
    """All numbers in a text, whatever stands between them; nothing beyond ordinary size."""
    if not text or len(text) > _MOST_NUMBERS:
        return []
    values = [float(word) for word in _NUMBER.findall(text)]
    return values if all(abs(value) < 1e12 for value in values) else []


def read_view_box(text: str | None) -> Box | None:
    """The view box as a box; None when missing or not four numbers. A box without extent is returned."""
    values = read_numbers(text)
    if len(values) != 4:
        return None
    x, y, wide, high = values
    return Box(x, y, x + wide, y + high)


def read_transform(text: str | None) -> Matrix:
    """The matrix of a transform list (SVG 2, 8.4); what is not understood makes the whole list nothing."""
    matrix = Matrix()
    for name, inside in _TRANSFORM.findall(text or ""):
        one = _one_transform(name, read_numbers(inside))
        if one is None:
            return Matrix()
        matrix = one.then(matrix)
    return matrix if matrix.is_finite() else Matrix(0, 0, 0, 0, 0, 0)


def _one_transform(name: str, v: list[float]) -> Matrix | None:
    match name, len(v):
        case "matrix", 6:
            return Matrix(*v)
        case "translate", 1 | 2:
            return Matrix(e=v[0], f=v[1] if len(v) == 2 else 0.0)
        case "scale", 1 | 2:
            return Matrix(a=v[0], d=v[-1])
        case "rotate", 1 | 3:
            turn = Matrix(*_turn(v[0]))
            x, y = v[1:] if len(v) == 3 else (0.0, 0.0)
            return Matrix(e=-x, f=-y).then(turn).then(Matrix(e=x, f=y))
        case "skewX", 1:
            return Matrix(c=math.tan(math.radians(v[0])))
        case "skewY", 1:
            return Matrix(b=math.tan(math.radians(v[0])))
    return None


def _turn(degrees: float) -> tuple[float, float, float, float]:
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return cosine, sine, -sine, cosine


def fit_view(view: Box, into: Box, aspect: str | None) -> Matrix:
    """The matrix that puts a view box into a viewport by preserveAspectRatio (SVG 2, 8.2)."""
    wide, high = view.x1 - view.x0, view.y1 - view.y0
    if wide <= 0 or high <= 0:
        return Matrix(0, 0, 0, 0, 0, 0)
    across, down = (into.x1 - into.x0) / wide, (into.y1 - into.y0) / high
    words = (aspect or "xMidYMid").replace("defer", "").split()
    align = words[0] if words else "xMidYMid"
    if align != "none":
        across = down = max(across, down) if "slice" in words else min(across, down)
    room_x = into.x1 - into.x0 - across * wide
    room_y = into.y1 - into.y0 - down * high
    share_x = 0.0 if "xMin" in align or align == "none" else 1.0 if "xMax" in align else 0.5
    share_y = 0.0 if "YMin" in align or align == "none" else 1.0 if "YMax" in align else 0.5
    left = into.x0 - view.x0 * across + room_x * share_x
    top = into.y0 - view.y0 * down + room_y * share_y
    return Matrix(across, 0, 0, down, left, top)


def references(text: str) -> list[str]:
    """What a value like `url(#a)` points at."""
    return [found.strip(" \t\r\n'\"") for found in _REFERENCE.findall(text)] if "url(" in text else []


def read_share(text: str | None) -> float:
    """An opacity, 0 to 1; 1 when missing or not one."""
    length = read_length(text)
    if length is None:
        return 1.0
    return min(1.0, max(0.0, length.px(1.0)))
