"""The art with its findings marked and listed, as one PNG: what `check --picture` writes."""

from __future__ import annotations

import io
from collections.abc import Sequence

import pypdfium2  # type: ignore[import-untyped]  # ships no types
from PIL import Image

from intake.facts import Finding
from intake.report.panel import COLOURS, DISC, GUTTER, draw_number, draw_panel
from tickets import wording
from tickets.paper.fitting import Box, Setting, fit
from tickets.paper.fonts import BOLD, PLAIN, Fonts, load_fonts
from tickets.paper.pictures import open_picture
from tickets.paper.sheet import GREY, WHITE, Sheet

ART_MM = 150.0  # the longer side of the art on the picture
ALONE_MM = 84.0  # likewise, without the list: numbers stay readable on a phone
MARGIN = 6.0
LEAST_WIDTH = 120.0
SCALE = 3.0  # pixels a point: 216 an inch


def draw_findings(
    picture_png: bytes,
    findings: Sequence[Finding],
    print_mm: tuple[float, float],
    fonts: Fonts | None = None,
    *,
    is_listed: bool = True,
) -> bytes:
    """The art as a PNG with every place framed and numbered, and the list of findings under it.

    Without the list where a page tells the findings itself.

    Raises ValueError when `picture_png` holds no picture: there is nothing to draw on.
    """
    picture = open_picture(picture_png)
    if picture is None:
        raise ValueError("there is no picture of the art to draw on")
    fonts = fonts or load_fonts()
    shape = print_mm[0] / print_mm[1]
    longest = ART_MM if is_listed else ALONE_MM
    art_width, art_height = (longest, longest / shape) if shape >= 1 else (longest * shape, longest)
    width = max(LEAST_WIDTH if is_listed else 0.0, art_width + 2 * GUTTER) + 2 * MARGIN
    art_height = max(art_height, 30.0)
    column = width - 2 * MARGIN
    rows = [_row_height(finding, column, fonts) for finding in findings]
    height = 2 * MARGIN + art_height + (sum(rows) + MARGIN if is_listed else 0.0)
    sheet = Sheet(width, height, fonts, title=wording.ARTWORK_REPORT, author="filmdocket")
    sheet.fill(Box(0, 0, width, height), WHITE)
    # Drawn as if the print were so large: here nothing is shown at its real size.
    draw_panel(sheet, Box(MARGIN, MARGIN, column, art_height), picture, print_mm, findings, fills=True)
    if not is_listed:
        return _as_png(sheet.finish(), SCALE * ART_MM / ALONE_MM)
    y = MARGIN + art_height + MARGIN
    for number, (finding, row) in enumerate(zip(findings, rows, strict=True), 1):
        _draw_row(sheet, Box(MARGIN, y, column, row), number, finding)
        y += row
    return _as_png(sheet.finish(), SCALE)


def _row_height(finding: Finding, column: float, fonts: Fonts) -> float:
    text = Box(0, 0, column - 9, 200)
    return fit(finding.says, text, Setting(8.5, 7, PLAIN), fonts).height_mm + 8.5


def _draw_row(sheet: Sheet, box: Box, number: int, finding: Finding) -> None:
    draw_number(sheet, box.x + DISC + 0.5, box.y + DISC + 0.3, number, finding.level)
    title = f"{wording.check_title(finding.check)} · {wording.LEVELS[finding.level]}"
    sheet.write(box.x + 9, box.y + 2.9, title, 9, BOLD, COLOURS[finding.level])
    told = wording.measured(finding.measured, finding.unit)
    if told and finding.limit is not None:
        told = f"{told} / {wording.measured(finding.limit, finding.unit)}"
    sheet.write(box.x + box.width - sheet.width_of(told, 8), box.y + 2.9, told, 8, PLAIN, GREY)
    sheet.write_in(
        Box(box.x + 9, box.y + 4.3, box.width - 9, box.height - 5), finding.says, Setting(8.5, 7, PLAIN)
    )


def _as_png(pdf: bytes, scale: float) -> bytes:
    document = pypdfium2.PdfDocument(pdf)
    try:
        picture: Image.Image = document[0].render(scale=scale).to_pil()
    finally:
        document.close()
    file = io.BytesIO()
    picture.convert("RGB").save(file, "PNG", dpi=(72 * scale, 72 * scale), optimize=False)
    return file.getvalue()
