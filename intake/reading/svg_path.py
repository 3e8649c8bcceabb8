"""Path data of SVG (the `d` attribute) and basic shapes as paths of lines and curves."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from intake.reading.pdf_lines import Path
from intake.reading.svg_values import NUMBER

_ARC_FLAG = re.compile(r"[01]")
_FLOAT = re.compile(NUMBER)
_STEP = re.compile(rf"[\s,]*(?:([MmLlHhVvCcSsQqTtAaZz])|({NUMBER}))")
_COUNTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}
_ROUND = 0.5522847498  # of the radius: the handle of a Bézier quarter circle


class BrokenPath(Exception):
    """The path data stop making sense; what came before is drawn (SVG 2, 9.5.4)."""


class Pen:
    """Draws path commands into a `Path`, remembering what the short forms lean on."""

    def __init__(self) -> None:
        self.path = Path()
        self.x = self.y = 0.0
        self._start = (0.0, 0.0)
        self._handle: tuple[str, float, float] = ("", 0.0, 0.0)

    def draw(self, command: str, v: list[float]) -> None:
        """One command with all its numbers; lower case counts from the current point."""
        upper = command.upper()
        if command != upper:
            v = self._absolute(upper, v)
        if not all(math.isfinite(value) and abs(value) < 1e12 for value in v):
            raise BrokenPath
        if upper == "M":
            self.path.move(*v)
            self._start = (v[0], v[1])
            self._land(v[0], v[1])
        elif upper in "LHV":
            x = self.x if upper == "V" else v[0]
            y = self.y if upper == "H" else v[-1]
            self.path.line(x, y)
            self._land(x, y)
        elif upper == "Z":
            self.path.close()
            self._land(*self._start)
        elif upper == "A":
            self._arc(v)
        else:
            self._curve(upper, v)

    def _absolute(self, upper: str, v: list[float]) -> list[float]:
        if upper == "A":
            return [*v[:5], v[5] + self.x, v[6] + self.y]
        if upper == "V":
            return [v[0] + self.y]
        return [value + (self.y if at % 2 else self.x) for at, value in enumerate(v)]

    def _land(self, x: float, y: float, handle: tuple[str, float, float] = ("", 0.0, 0.0)) -> None:
        self.x, self.y, self._handle = x, y, handle

    def _mirrored(self, family: str) -> tuple[float, float]:
        kind, hx, hy = self._handle
        return (2 * self.x - hx, 2 * self.y - hy) if kind == family else (self.x, self.y)

    def _curve(self, upper: str, v: list[float]) -> None:
        if upper in "CS":
            first = self._mirrored("C") if upper == "S" else (v[0], v[1])
            second, end = (v[-4], v[-3]), (v[-2], v[-1])
            handle = ("C", *second)
        else:
            bend = self._mirrored("Q") if upper == "T" else (v[0], v[1])
            end = (v[-2], v[-1])
            first = (self.x + 2 / 3 * (bend[0] - self.x), self.y + 2 / 3 * (bend[1] - self.y))
            second = (end[0] + 2 / 3 * (bend[0] - end[0]), end[1] + 2 / 3 * (bend[1] - end[1]))
            handle = ("Q", *bend)
        self.path.curve(*first, *second, *end)
        self._land(*end, handle)

    def _arc(self, v: list[float]) -> None:
        """An elliptical arc as Bézier curves of at most a quarter turn (SVG 1.1, F.6.5 and F.6.6)."""
        for curve in arc_curves((self.x, self.y), v):
            self.path.curve(*curve)
        self._land(v[5], v[6])


def arc_curves(start: tuple[float, float], v: list[float]) -> Iterator[tuple[float, ...]]:
    """Six numbers a Bézier curve of the arc `v` = rx ry turn large sweep x y; a flat one is a line."""
    rx, ry, degrees, large, sweep, x2, y2 = v
    x1, y1 = start
    rx, ry = abs(rx), abs(ry)
    if (x1, y1) == (x2, y2):
        return
    if rx == 0 or ry == 0:
        yield x1, y1, x2, y2, x2, y2
        return
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    dx, dy = (x1 - x2) / 2, (y1 - y2) / 2
    px, py = cosine * dx + sine * dy, -sine * dx + cosine * dy
    grow = max(1.0, math.sqrt((px / rx) ** 2 + (py / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    under = (rx * py) ** 2 + (ry * px) ** 2
    root = math.sqrt(max(0.0, (rx * ry) ** 2 / under - 1)) if under else 0.0
    root = -root if bool(large) == bool(sweep) else root
    cx, cy = root * rx * py / ry, -root * ry * px / rx
    begin = math.atan2((py - cy) / ry, (px - cx) / rx)
    turn = math.atan2((-py - cy) / ry, (-px - cx) / rx) - begin
    turn += 2 * math.pi if sweep and turn < 0 else -2 * math.pi if not sweep and turn > 0 else 0.0
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    count = max(1, math.ceil(abs(turn) / (math.pi / 2) - 1e-9))
    step = turn / count
    handle = 4 / 3 * math.tan(step / 4)
    for k in range(count):
        a, b = begin + k * step, begin + (k + 1) * step
        unit = (
            (math.cos(a) - handle * math.sin(a), math.sin(a) + handle * math.cos(a)),
            (math.cos(b) + handle * math.sin(b), math.sin(b) - handle * math.cos(b)),
            (math.cos(b), math.sin(b)),
        )
        yield tuple(
            value
            for ux, uy in unit
            for value in (
                cosine * (rx * ux + cx) - sine * (ry * uy + cy) + middle[0],
                sine * (rx * ux + cx) + cosine * (ry * uy + cy) + middle[1],
            )
        )


def read_path(data: str, most_commands: int = 400_000) -> Path:
    """The path of a `d` attribute as far as it makes sense."""
    pen = Pen()
    try:
        for command, values in _commands(data, most_commands):
            pen.draw(command, values)
    except BrokenPath:
        pass
    return pen.path


def _commands(data: str, most: int) -> Iterator[tuple[str, list[float]]]:
    at, command, is_first = 0, "", True
    for _ in range(most):
        found = _STEP.match(data, at)
        if found is None:
            return
        if found[1]:
            command, at = found[1], found.end()
            if is_first and command not in "Mm":
                raise BrokenPath
            is_first = False
            if command in "Zz":
                yield command, []
                command = ""
                continue
        if not command:
            raise BrokenPath
        values, at = _numbers(data, at, command.upper())
        yield command, values
        command = {"M": "L", "m": "l"}.get(command, command)


def _numbers(data: str, at: int, upper: str) -> tuple[list[float], int]:
    values: list[float] = []
    for k in range(_COUNTS[upper]):
        while at < len(data) and (data[at].isspace() or data[at] == ","):
            at += 1
        shape = _ARC_FLAG if upper == "A" and k in (3, 4) else _FLOAT
        found = shape.match(data, at)
        if found is None:
            raise BrokenPath
        values.append(float(found[0]))
        at = found.end()
    return values, at


def ellipse_path(cx: float, cy: float, rx: float, ry: float) -> Path:
    """A whole ellipse as four curves."""
    path = Path()
    path.move(cx + rx, cy)
    kx, ky = rx * _ROUND, ry * _ROUND
    path.curve(cx + rx, cy + ky, cx + kx, cy + ry, cx, cy + ry)
    path.curve(cx - kx, cy + ry, cx - rx, cy + ky, cx - rx, cy)
    path.curve(cx - rx, cy - ky, cx - kx, cy - ry, cx, cy - ry)
    path.curve(cx + kx, cy - ry, cx + rx, cy - ky, cx + rx, cy)
    path.close()
    return path


def points_path(points: list[float], is_closed: bool) -> Path:
    """A polyline or polygon; a number without its partner ends it."""
    path = Path()
    for at in range(0, len(points) - 1, 2):
        (path.line if at else path.move)(points[at], points[at + 1])
    if is_closed:
        path.close()
    return path
