"""Which encoded artwork a piece is made of, and how it is placed: from the unit square to its box on film."""

from __future__ import annotations

from dataclasses import dataclass

from tickets.film.model import RunPiece
from tickets.film.paging import FilmPage

Matrix6 = tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class ArtKey:
    """One artwork at one size: the hash of its file, its page (from 1), and its size unturned in mm."""

    sha256: str
    page: int
    width_mm: float
    height_mm: float

    @property
    def name(self) -> str:
        """How it is called in the cache."""
        return f"{self.sha256}-{self.page}-{self.width_mm:.2f}x{self.height_mm:.2f}"


def art_key(piece: RunPiece) -> ArtKey:
    """Which encoded artwork a piece is made of; sizes to a hundredth of a millimetre."""
    across, along = round(piece.width_mm, 2), round(piece.height_mm, 2)
    size = (along, across) if piece.turned else (across, along)
    return ArtKey(piece.artwork_sha256, piece.page or 1, *size)


def matrix_of(piece: RunPiece, page: FilmPage) -> Matrix6:
    """From the unit square (v upwards) to mm on the page, y upwards from its bottom.

    Turned: by 90° clockwise. Art that came mirrored is drawn as in a mirror, so that it comes to lie on film
    as it came: the film as a whole is printed mirrored.
    """
    left, top = piece.x_mm, page.length_mm - page.y_mm(piece)
    wide, long = piece.width_mm, piece.height_mm
    matrix = (0.0, -long, wide, 0.0, left, top) if piece.turned else (wide, 0.0, 0.0, long, left, top - long)
    if not piece.mirrored:
        return matrix
    a, b, c, d, e, f = matrix
    return (-a, -b, c, d, e + a, f + b)
