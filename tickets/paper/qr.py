"""The QR code of a paper: its modules, how large they are printed, and the quiet zone (ISO/IEC 18004)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tickets import wording
from tickets.paper.fitting import Box
from tickets.paper.sheet import BLACK, WHITE, Sheet
from tickets.problems import SetupProblem

QUIET_MODULES = 4
LEAST_MODULE_MM = 0.4
EASY_MODULE_MM = (
    0.5  # four dots of a 203 dpi label printer; above it the better error levels are worth their size
)


@dataclass(frozen=True, slots=True)
class Symbol:
    """A QR code without its quiet zone: True is dark. `level`: L, M, Q or H."""

    modules: tuple[tuple[bool, ...], ...]
    level: str

    @property
    def side(self) -> int:
        """Modules a side, the quiet zone left out."""
        return len(self.modules)


def make_symbol(text: str, level: str) -> Symbol | None:
    """The smallest QR code that holds a text at an error level; None when none does."""
    import qrcode
    from qrcode.exceptions import DataOverflowError

    levels = {
        "M": qrcode.constants.ERROR_CORRECT_M,
        "Q": qrcode.constants.ERROR_CORRECT_Q,
        "H": qrcode.constants.ERROR_CORRECT_H,
    }
    maker = qrcode.QRCode(error_correction=levels[level], border=0)
    maker.add_data(text)
    try:
        maker.make(fit=True)
    except (DataOverflowError, ValueError):
        return None
    return Symbol(tuple(tuple(map(bool, row)) for row in maker.get_matrix()), level)


def choose_symbol(text: str, side_mm: float) -> Symbol:
    """The symbol with the best error level whose modules are easily large enough in a square of `side_mm`.

    Level M at least, modules of 0.4 mm at least. Raises SetupProblem `qr-too-long` when the text needs more.
    """
    for level in ("H", "Q", "M"):
        symbol = make_symbol(text, level)
        least = LEAST_MODULE_MM if level == "M" else EASY_MODULE_MM
        if symbol is not None and side_mm / (symbol.side + 2 * QUIET_MODULES) >= least:
            return symbol
    raise SetupProblem("qr-too-long", *wording.qr_too_long(len(text)))


def draw_qr(sheet: Sheet, box: Box, text: str, dots_an_inch: int) -> Symbol:
    """Draw the code of a text, with its quiet zone, in a square box.

    Modules are whole printer dots where that leaves them large enough, so that all come out alike. The dark
    modules begin at the box's left edge, the quiet zone before them reaches into the margin of the paper.
    """
    side_mm = min(box.width, box.height)
    symbol = choose_symbol(text, side_mm)
    dot = 25.4 / dots_an_inch
    module = side_mm / (symbol.side + 2 * QUIET_MODULES)
    whole_dots = int(module / dot + 1e-6) * dot
    module = whole_dots if whole_dots >= LEAST_MODULE_MM else module
    used = module * (symbol.side + 2 * QUIET_MODULES)
    quiet = QUIET_MODULES * module
    x, y = max(0.6, box.x - quiet), box.y + (box.height - used) / 2
    sheet.fill(Box(x, y, used, used), WHITE)
    sheet.fill_all(_dark_stretches(symbol, x + quiet, y + quiet, module), BLACK)
    return symbol


def _dark_stretches(symbol: Symbol, x: float, y: float, module: float) -> Iterator[Box]:
    """One rectangle for each stretch of dark modules in a row."""
    for row, modules in enumerate(symbol.modules):
        start = None
        for column, dark in enumerate((*modules, False)):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                yield Box(x + start * module, y + row * module, (column - start) * module, module)
                start = None
