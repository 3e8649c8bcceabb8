"""What the ink of one piece covers, from the measures of its artwork, or from the shop's usual shares."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol

from config.settings_cost import Cost
from tickets.cost.stretch import Piece
from tickets.film.model import InkUse, Shape

_WHITE_FROM = 0xF0  # each of red, green and blue of a garment that counts as white


class Printed(Protocol):
    """What of an item its costs go by; lengths in mm, as far as they are known."""

    @property
    def print_width_mm(self) -> float | None: ...
    @property
    def print_height_mm(self) -> float | None: ...
    @property
    def ordered_width_mm(self) -> float | None: ...
    @property
    def ordered_height_mm(self) -> float | None: ...
    @property
    def measures(self) -> Mapping[str, Any]: ...
    @property
    def garment_colour(self) -> str: ...
    @property
    def may_turn(self) -> bool: ...


def piece_of(item: Printed, cost: Cost) -> Piece:
    """One piece of an item, by its measures; square while only one of its lengths is known."""
    width = item.print_width_mm or item.ordered_width_mm
    height = item.print_height_mm or item.ordered_height_mm
    width, height = width or height or 0.0, height or width or 0.0
    ink = ink_of(item.measures, (width, height), cost, item.garment_colour)
    return Piece(Shape(width, height), ink, item.may_turn)


def ink_of(
    measures: Mapping[str, Any], print_mm: tuple[float, float], cost: Cost, garment_colour: str = ""
) -> InkUse:
    """The areas in mm² that one piece inks at print size (mm).

    `measures` as `check --json` has them: `ink_area_mm2`, `white_area_mm2` (under the choke), `cmyk` (mean
    shares on the inked area). What is missing is taken from the shop's usual shares, white like the ink.
    """
    inked = _number(measures.get("ink_area_mm2"), print_mm[0] * print_mm[1] * cost.ink_share)
    white = _number(measures.get("white_area_mm2"), inked)
    if not cost.white_on_white and _is_white(garment_colour):
        white = 0.0
    shares = measures.get("cmyk")
    cyan, magenta, yellow, black = shares if shares and len(shares) == 4 else cost.coverage
    return InkUse(inked, white, (inked * cyan, inked * magenta, inked * yellow, inked * black))


def _number(value: Any, otherwise: float) -> float:
    return float(value) if isinstance(value, int | float) else otherwise


def _is_white(colour: str) -> bool:
    if len(colour) != 7 or not colour.startswith("#"):
        return False
    try:
        return all(int(colour[at : at + 2], 16) >= _WHITE_FROM for at in (1, 3, 5))
    except ValueError:
        return False
