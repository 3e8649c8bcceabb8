"""The outlines of artworks as the planner takes them: asked for from outside, turned to the piece's side."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from tickets.film.model import Ring, Shape
from tickets.film.placing import ArtKey

Outlines = Callable[[Collection[ArtKey]], Mapping[ArtKey, tuple[Ring, ...]]]


@dataclass(frozen=True, slots=True)
class Art:
    """The artwork that a ticket's pieces are made of; `mirrored`: it came so, and is drawn as it came."""

    key: ArtKey
    mirrored: bool = False


def boxes_only(_keys: Collection[ArtKey]) -> Mapping[ArtKey, tuple[Ring, ...]]:
    """Nobody knows outlines: every piece is laid by its box."""
    return {}


def outlined_shape(art: Art, size_mm: tuple[float, float], rings: tuple[Ring, ...]) -> Shape:
    """The shape of a piece `size_mm` wide and high whose artwork has these outlines at its key's size."""
    wide, high = size_mm
    across = wide / art.key.width_mm if rings else 1.0
    along = high / art.key.height_mm if rings else 1.0

    def placed(ring: Ring) -> Ring:
        moved = tuple((x * across, y * along) for x, y in ring)
        return tuple((wide - x, y) for x, y in moved) if art.mirrored else moved

    return Shape(wide, high, tuple(placed(ring) for ring in rings))
