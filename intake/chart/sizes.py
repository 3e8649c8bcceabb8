"""What the test chart holds: graded sizes, and where each lies on the page, in mm from its top left."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

LINES_MM = (0.10, 0.15, 0.20, 0.25, 0.30, 0.35, 0.40, 0.50, 0.60, 0.80, 1.00)
GAPS_MM = (0.20, 0.25, 0.30, 0.35, 0.40, 0.50, 0.60, 0.70, 0.80, 1.00, 1.20)
DOTS_MM = (0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.60, 0.80, 1.00, 1.20)
TYPE_PT = (5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0)
SHARES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1)
STEPS = ("print", "powder", "cure", "press", "wash")

WIDTH_MM, HEIGHT_MM = 190.0, 277.0  # on A4 (ISO 216) with a margin of 10 mm, and across 300 mm film
LEFT_MM = 4.0
COLUMN_MM = 16.4  # from one size to the next
LINE_LENGTH_MM = 12.0
BLOCK_MM, BLOCK_HIGH_MM = 5.5, 10.0  # ink on either side of a gap
DOTS_EACH = 3
DOT_STEP_MM = 3.6


class Kind(StrEnum):
    """What a feature tests."""

    LINE = "line"
    GAP = "gap"
    DOT = "dot"


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing of a known size: a line, the gap between two blocks, or a dot. Box in mm of the page."""

    kind: Kind
    size_mm: float
    x: float
    y: float
    width: float
    height: float


LINES_ACROSS_Y, LINES_DOWN_Y = 38.0, 46.0
GAPS_DOWN_Y, GAPS_ACROSS_Y = 77.0, 97.0
DOTS_Y = 130.0
TYPE_Y, RAMPS_Y = 146.0, 224.0


def column_x(number: int) -> float:
    """The left edge of a size's column."""
    return LEFT_MM + number * COLUMN_MM


def features() -> tuple[Feature, ...]:
    """All lines, gaps and dots of the chart, each with its exact place."""
    return (*_lines(), *_gaps(), *_dots())


def _lines() -> list[Feature]:
    found = []
    for number, size in enumerate(LINES_MM):
        x = column_x(number)
        found.append(Feature(Kind.LINE, size, x, LINES_ACROSS_Y - size / 2, LINE_LENGTH_MM, size))
        middle = x + LINE_LENGTH_MM / 2
        found.append(Feature(Kind.LINE, size, middle - size / 2, LINES_DOWN_Y, size, LINE_LENGTH_MM))
    return found


def _gaps() -> list[Feature]:
    found = []
    for number, size in enumerate(GAPS_MM):
        x = column_x(number)
        found.append(Feature(Kind.GAP, size, x + BLOCK_MM, GAPS_DOWN_Y, size, BLOCK_HIGH_MM))
        wide = 2 * BLOCK_MM
        found.append(Feature(Kind.GAP, size, x, GAPS_ACROSS_Y + BLOCK_MM, wide, size))
    return found


def _dots() -> list[Feature]:
    found = []
    for number, size in enumerate(DOTS_MM):
        for nth in range(DOTS_EACH):
            x = column_x(number) + 2.0 + nth * DOT_STEP_MM
            found.append(Feature(Kind.DOT, size, x - size / 2, DOTS_Y - size / 2, size, size))
    return found
