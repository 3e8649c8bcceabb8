"""The bars of a GS1-128 symbol: Code 128 (ISO/IEC 15417) that begins with FNC1, drawn by us."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tickets.paper.fitting import Box
from tickets.paper.sheet import BLACK, WHITE, Sheet

FNC1 = "\xf1"  # as reportlab writes it
QUIET_MODULES = 10  # on either side
WIDEST_MODULE_MM = 0.94  # of a logistic label: 0.495 to 0.940 mm (GS1 General Specifications, from memory)
DOTS_AN_INCH = 203  # the usual label printer


@dataclass(frozen=True, slots=True)
class Bars:
    """A symbol without its quiet zones: the widths of bars and spaces in turn, in modules, a bar first."""

    widths: tuple[int, ...]

    @property
    def modules(self) -> int:
        """How many modules wide it is."""
        return sum(self.widths)


def gs1_bars(digits: str) -> Bars:
    """The symbol of an element string without brackets, such as 00 and the eighteen digits of an SSCC."""
    from reportlab.graphics.barcode.code128 import Code128

    symbol: Any = Code128(FNC1 + digits, quiet=0)
    symbol.validate()
    symbol.encode()
    symbol.decompose()
    # Letters: bars large, spaces small; A is one module wide, B two.
    return Bars(tuple(ord(letter.upper()) - ord("A") + 1 for letter in symbol.decomposed))


def draw_bars(sheet: Sheet, box: Box, digits: str) -> float:
    """Draw the symbol centred in a box, its quiet zones inside; returns a module's width in mm.

    Modules are whole dots of a label printer where that leaves them as wide as the box allows.
    """
    bars = gs1_bars(digits)
    dot = 25.4 / DOTS_AN_INCH
    fitting = min(WIDEST_MODULE_MM, box.width / (bars.modules + 2 * QUIET_MODULES))
    module = max(int(fitting / dot + 1e-6) * dot, dot) if fitting >= dot else fitting
    sheet.fill(box, WHITE)
    left = box.x + (box.width - bars.modules * module) / 2
    sheet.fill_all(_boxes(bars, Box(left, box.y, 0, box.height), module), BLACK)
    return module


def _boxes(bars: Bars, box: Box, module: float) -> Iterator[Box]:
    x = box.x
    for at, width in enumerate(bars.widths):
        if at % 2 == 0:
            yield Box(x, box.y, width * module, box.height)
        x += width * module
