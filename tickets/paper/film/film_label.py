"""The label at either end of a run: its code, large and as a QR code, what it is, and what to trim off."""

from __future__ import annotations

from dataclasses import dataclass

from tickets import wording_film_file as wording
from tickets.film.model import RunPiece, StoredRun
from tickets.paper.film.drawing import Drawing
from tickets.paper.qr import LEAST_MODULE_MM, QUIET_MODULES, Symbol, make_symbol

LABEL_MM = 18.0  # of film, at either end
_SIDE_MM = 16.0  # of the QR code with its quiet zone
_OFF_MM = 1.0
_TEXT_MM = 2.0  # from the code to the words
_LINES = ((5.2, 6.6), (2.6, 11.2), (2.2, 15.4))  # height of capitals, base line from the label's top


@dataclass(frozen=True, slots=True)
class DrawnLabel:
    """Where a label and its QR code came to stand on the page: boxes (x, y, width, height) in mm."""

    box: tuple[float, float, float, float]
    qr: tuple[float, float, float, float]


def code_beside(piece: RunPiece) -> str:
    """What stands beside a piece: whose it is; a spare has a plus."""
    return f"{piece.code} +" if piece.spare else piece.code


def draw_label(
    drawing: Drawing, run: StoredRun, top_mm: float, qr_text: str, *, at_start: bool
) -> DrawnLabel:
    """Draw the label of one end, `LABEL_MM` of film from `top_mm` of the page on."""
    symbol = _symbol(qr_text, run.code)
    qr = (_OFF_MM, top_mm + _OFF_MM, _SIDE_MM, _SIDE_MM)
    drawing.qr(symbol, qr[0], qr[1], _SIDE_MM)
    x = qr[0] + _SIDE_MM + _TEXT_MM
    room = drawing.width_mm - x - _OFF_MM
    for text, (cap_mm, base_mm) in zip(wording.label_lines(run, at_start=at_start), _LINES, strict=True):
        wide = drawing.width_of(text, cap_mm)
        drawing.write(x, top_mm + base_mm, text, cap_mm * min(1.0, room / wide))
    return DrawnLabel((0.0, top_mm + _OFF_MM, drawing.width_mm, _SIDE_MM), qr)


def _symbol(qr_text: str, code: str) -> Symbol:
    """The code of what is wanted; of the run's code alone where that would come out too fine for film."""
    symbol = make_symbol(qr_text, "M") if qr_text else None
    if symbol is not None and _SIDE_MM / (symbol.side + 2 * QUIET_MODULES) >= LEAST_MODULE_MM:
        return symbol
    plain = make_symbol(code, "Q")
    assert plain is not None  # a run code is a few characters
    return plain
