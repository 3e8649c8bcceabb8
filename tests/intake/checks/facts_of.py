"""Facts of artworks that never existed, for the judges: everything in order, save what a test changes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from config.settings import Film, Limits, load_settings
from intake.checks import judge
from intake.facts import (
    Alpha,
    Artwork,
    Examined,
    Finding,
    InkMeasures,
    Place,
    PlacedImage,
    PrintSize,
    Spot,
    VectorStroke,
)

SETTINGS = load_settings(None, {})
LIMITS: Limits = SETTINGS.limits
FILM: Film = SETTINGS.film
ART = Artwork(kind="PNG", shape=1.0, pixels=(1181, 1181), pages=1, has_alpha=True)
PAGE = Artwork(kind="PDF", shape=1.0, pixels=None, pages=1, has_alpha=True, size_mm=(100.0, 100.0))
SIZE = PrintSize(100.0, 100.0, 100.0, None)
INK = InkMeasures(
    alpha=Alpha.HARD,
    soft_share=0.0,
    soft_places=(),
    ink_box=Place(0.5, 0.5, 99.0, 99.0),
    ink_area_mm2=4000.0,
    white_area_mm2=3900.0,
    lost_white_area_mm2=0.0,
    lost_white_places=(),
    thinnest_line=None,
    thin_lines=(),
    thinnest_gap=None,
    thin_gaps=(),
    islands=(),
    island_count=0,
)


def examined(
    art: Artwork = ART, size: PrintSize = SIZE, ink: InkMeasures | None = INK, **rest: Any
) -> Examined:
    """Facts to be judged."""
    return Examined(art, size, ink, **rest)


def with_ink(**changes: Any) -> Examined:
    """A good raster artwork, save for these measures."""
    return examined(ink=replace(INK, **changes))


def findings(facts: Examined, film: Film = FILM, limits: Limits = LIMITS) -> tuple[Finding, ...]:
    """What all judges say."""
    return judge(facts, limits, film)


def only(facts: Examined, **rest: Any) -> Finding:
    """The one finding there is."""
    (found,) = findings(facts, **rest)
    return found


def spot(value_mm: float, x_mm: float = 10.0, y_mm: float = 10.0, length_mm: float = 5.0) -> Spot:
    """A measured spot of the picture."""
    return Spot(value_mm, 0.01, Place(x_mm, y_mm, length_mm, max(value_mm, 0.1)), length_mm, "stroke")


def stroke(width_pt: float, x_pt: float = 28.0, y_pt: float = 28.0, **rest: Any) -> VectorStroke:
    """A horizontal stroke of a page, 50 pt long."""
    return VectorStroke(width_pt, "stroke", (x_pt, y_pt, 50.0, width_pt), **rest)


def image(px: int, ppi: float, kind: str = "image", worst: float | None = None) -> PlacedImage:
    """A square image of a page."""
    side = px * 72 / ppi
    return PlacedImage((px, px), (ppi, ppi), kind, (10.0, 10.0, side, side), ppi if worst is None else worst)
