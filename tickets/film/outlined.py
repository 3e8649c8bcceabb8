"""The outlines of artworks as the planner takes them: asked for from outside, turned to the piece's side."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

from tickets.film.model import Ring, RunPiece, Shape
from tickets.film.placing import ArtKey, art_key

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


def lying(shape: Shape, at: tuple[float, float], *, turned: bool) -> tuple[Ring, ...]:
    """The outlines of a piece as it lies with its box's top left `at` (x, y) of the film, in mm."""

    def moved(ring: Ring) -> Ring:
        corners = tuple((shape.height_mm - y, x) for x, y in ring) if turned else ring
        return tuple((x + at[0], y + at[1]) for x, y in corners)

    return tuple(moved(ring) for ring in shape.rings)


def outlines_on_film(pieces: Sequence[RunPiece], outlines: Outlines) -> dict[int, tuple[Ring, ...]]:
    """The outlines of a run's pieces as they lie, by number; none where a piece's box serves as well."""
    arts = {piece.number: Art(art_key(piece), piece.mirrored) for piece in pieces}
    known = outlines({art.key for art in arts.values()})
    found = {}
    for piece in pieces:
        art = arts[piece.number]
        rings = known.get(art.key, ())
        if rings:
            shape = outlined_shape(art, (art.key.width_mm, art.key.height_mm), rings)
            found[piece.number] = lying(shape, (piece.x_mm, piece.y_mm), turned=piece.turned)
    return found
