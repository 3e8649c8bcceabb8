"""A QR code as SVG, for a phone's camera to read off a screen."""

from __future__ import annotations

from markupsafe import Markup

from tickets.paper.qr import QUIET_MODULES, make_symbol


def draw_qr_picture(text: str) -> Markup:
    """The code of a text with its quiet zone; empty when the text is too long for one."""
    symbol = make_symbol(text, "M")
    if symbol is None:
        return Markup("")
    side = symbol.side + 2 * QUIET_MODULES
    dark = "".join(
        f"M{x + QUIET_MODULES},{y + QUIET_MODULES}h1v1h-1z"
        for y, row in enumerate(symbol.modules)
        for x, is_dark in enumerate(row)
        if is_dark
    )
    return Markup(
        f'<svg class="qr" viewBox="0 0 {side} {side}" shape-rendering="crispEdges" role="img" '
        f'aria-label="QR"><rect class="qr-paper" width="{side}" height="{side}"/>'
        f'<path class="qr-ink" d="{dark}"/></svg>'
    )


def qr_lines(text: str) -> list[str]:
    """The code in half blocks for a terminal; [] when too long."""
    symbol = make_symbol(text, "M")
    if symbol is None:
        return []
    blank = [False] * QUIET_MODULES
    rows = [[*blank, *row, *blank] for row in symbol.modules]
    empty = [False] * (symbol.side + 2 * QUIET_MODULES)
    rows = [empty, empty, empty, empty, *rows, empty, empty, empty, empty]
    if len(rows) % 2:
        rows.append(empty)
    # Light modules are drawn, dark ones left out: on a dark terminal that is a QR code as readers want it.
    marks = {(True, True): " ", (True, False): "▄", (False, True): "▀", (False, False): "█"}
    return [
        "".join(marks[upper, lower] for upper, lower in zip(top, bottom, strict=True))
        for top, bottom in zip(rows[::2], rows[1::2], strict=True)
    ]
