"""Remove specks: separate dots of ink that are smaller than the island limit."""

from __future__ import annotations

import cv2
import numpy as np

from intake.measure.bytewise import Bytes, at_least, block, count, grown
from intake.measure.pieces import ISLAND, LOW, Piece, pieces_of
from intake.measure.scale import Scale, scale_of
from intake.repairs import wording
from intake.repairs.canvas import Canvas, Mended, Wishes, places_of
from intake.repairs.looking import is_screened, looks_at

NAME = "specks"
MENDS = "islands"
DOES = "takes away separate dots that are smaller than the limit"
_MOST_PASSES = 8  # more small pieces than are measured in one window come up in the next pass
_COMPACT = 1.6  # longer pieces than so many limits may be small letters: they are left for a person
_RIM = 5  # px: the faint rim of a speck goes with it


def mend(canvas: Canvas, wishes: Wishes) -> Mended | None:
    """The canvas without dots of ink under the limit; None when there are none, or the art is a screen.

    Longer pieces, which may be letters, and all other ink keep their pixels.
    """
    scale = scale_of(canvas.mm_per_px, wishes.ask)
    cover = canvas.cover()
    if is_screened(cover, scale):
        return None
    left, number, letters = _without(cover, scale)
    if not number:
        return None
    gone = np.where(left < cover, 255, 0).astype(np.uint8)
    says = wording.specks_gone(number, wishes.ask.island_mm, letters)
    return Mended(canvas.with_pixels(canvas.with_cover(left).rgba), says, places_of(gone, canvas.mm_per_px))


def _without(cover: Bytes, scale: Scale) -> tuple[Bytes, int, int]:
    """Coverage without its specks, how many there were, and how many longer small pieces stay."""
    number, letters = 0, 0
    for _ in range(_MOST_PASSES):
        small = _pieces_in(cover, scale)
        found = [
            p for p in small if max(p.right - p.left, p.bottom - p.top) <= _COMPACT * scale.island_px + 1
        ]
        letters = len(small) - len(found)
        gone = _mask_of(found, cover)
        if not count(gone):
            break
        number += len(found)
        cover = np.where(gone != 0, 0, cover).astype(np.uint8)
    return cover, number, letters


def _pieces_in(cover: Bytes, scale: Scale) -> list[Piece]:
    """The small pieces as the measuring finds them, in px of the whole picture."""
    found: list[Piece] = []
    for look in looks_at(cover, scale):
        window, gone = look.window, look.tiles.gone
        dx, dy = -window.pad, window.top - window.pad
        mask = ISLAND.mask_of(window, (), np.empty_like(window.cover))
        for p in pieces_of(window, mask, scale.island_px, ISLAND, gone).below:
            box = (p.left + dx, p.top + dy, p.right + dx, p.bottom + dy)
            found.append(Piece(p.diameter, p.area, *box))
    return found


def _mask_of(pieces: list[Piece], cover: Bytes) -> Bytes:
    """255 on the pixels of these pieces and on the faint rim that belongs to no other ink."""
    gone = np.zeros_like(cover)
    for piece in pieces:
        x0, y0 = max(round(piece.left + 0.5) - _RIM, 0), max(round(piece.top + 0.5) - _RIM, 0)
        x1, y1 = round(piece.right + 0.5) + _RIM, round(piece.bottom + 0.5) + _RIM
        part = np.ascontiguousarray(cover[y0:y1, x0:x1])
        own, others = _own_and_others(part, piece, x0, y0)
        rim = (grown(own, block(_RIM)) != 0) & (part > 0) & (grown(others, block(3)) == 0)
        gone[y0:y1, x0:x1][(own != 0) | rim] = 255
    return gone


def _own_and_others(part: Bytes, piece: Piece, x0: int, y0: int) -> tuple[Bytes, Bytes]:
    """The component whose box is the piece's, and all other ink around it."""
    mask = at_least(part, LOW)
    number, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    box = (round(piece.left + 0.5) - x0, round(piece.top + 0.5) - y0)
    size = (round(piece.right - piece.left), round(piece.bottom - piece.top))
    mine = [k for k in range(1, number) if tuple(stats[k][:2]) == box and tuple(stats[k][2:4]) == size]
    own = np.isin(labels, mine[:1]).astype(np.uint8) * 255
    return own, np.where(own != 0, 0, mask).astype(np.uint8)
