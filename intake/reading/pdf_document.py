"""Opening a stranger's PDF: blank passwords, mending, clear refusals, and one page with its boxes."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2  # type: ignore[import-untyped]  # ships no types
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]

from intake.reading.pdf_matrix import Box, Matrix
from tickets.problems import ArtworkRefused

LETTER = Box(0.0, 0.0, 612.0, 792.0)  # what viewers take for a page without a usable box
MOST_STREAM_BYTES = 64 * 1024 * 1024
_LEAST_POINTS = 1e-3
_MOST_NODES = 20_000
_SIGNS_OF_DAMAGE = ("damaged", "reconstruct", "xref", "trailer", "recover")

pikepdf.settings.set_qpdf_limits(
    flate_max_memory=MOST_STREAM_BYTES,
    png_max_memory=MOST_STREAM_BYTES,
    tiff_max_memory=MOST_STREAM_BYTES,
    run_length_max_memory=MOST_STREAM_BYTES,
    parser_max_container_size_damaged=100_000,
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """The visible page: `box` in user space, and the way from there to upright points of 1/72 inch.

    `to_points` leads to coordinates from the top left, y downwards, UserUnit and Rotate applied.
    """

    box: Box
    rotate: int
    user_unit: float
    box_name: str
    width_pt: float
    height_pt: float
    to_points: Matrix

    @property
    def frame(self) -> Box:
        """The page in upright points."""
        return Box(0.0, 0.0, self.width_pt, self.height_pt)


@dataclass(slots=True)
class Document:
    """A PDF open twice: `structure` for its objects, `picture` for painting it.

    `was_mended`: it was damaged. `long_boxes`: MediaBoxes of more than four numbers by page object, which
    qpdf replaces with Letter; their first four numbers are what was meant.
    """

    structure: pikepdf.Pdf
    picture: pypdfium2.PdfDocument
    pages: int
    was_mended: bool
    long_boxes: dict[tuple[int, int], Box]

    def close(self) -> None:
        """Let go of the file; may be called more than once."""
        self.picture.close()
        self.structure.close()


def open_document(path: Path) -> Document:
    """Open `path` for reading; a blank user password opens.

    Raises ArtworkRefused: `pdf-needs-password`, `pdf-damaged`, `pdf-no-pages`.
    """
    picture = _open_picture(path)
    try:
        structure, mended, long_boxes = _open_structure(path, picture)
        pages = _count_pages(structure)
        if picture is None:
            picture, mended = _picture_of(structure), True
        return Document(structure, picture, pages, mended, long_boxes)
    except BaseException:
        if picture is not None:
            picture.close()
        raise


def _open_picture(source: Path | bytes) -> pypdfium2.PdfDocument | None:
    try:
        picture = pypdfium2.PdfDocument(source)
        picture.init_forms()  # before any page is loaded, or its fields stay unpainted
        if picture.formenv is not None:
            pdfium.FPDF_SetFormFieldHighlightAlpha(picture.formenv.raw, 0)
        return picture
    except pypdfium2.PdfiumError:
        return None


_Opened = tuple[pikepdf.Pdf, bool, dict[tuple[int, int], Box]]


def _open_structure(path: Path, picture: pypdfium2.PdfDocument | None) -> _Opened:
    """The document's objects; when qpdf finds no way in but PDFium does, those of PDFium's own rewriting."""
    try:
        structure = pikepdf.open(path, suppress_warnings=True, inherit_page_attributes=False)
        long_boxes = _long_boxes(structure)
        len(structure.pages)
        return structure, _was_mended(structure), long_boxes
    except pikepdf.PasswordError as error:
        raise ArtworkRefused(
            "pdf-needs-password",
            "This PDF is locked with a password.",
            "Save it again without a password and send that file.",
        ) from error
    except (pikepdf.PdfError, RuntimeError, ValueError) as error:
        if picture is None:
            raise _damaged() from error
    try:
        rewritten = io.BytesIO()
        picture.save(rewritten)
        structure = pikepdf.open(io.BytesIO(rewritten.getvalue()), suppress_warnings=True)
        len(structure.pages)
    except (pikepdf.PdfError, pypdfium2.PdfiumError, RuntimeError, ValueError) as error:
        raise _damaged() from error
    return structure, True, {}


def _was_mended(structure: pikepdf.Pdf) -> bool:
    """Whether the file's own directory was broken; qpdf warns of harmless things too."""
    told = " ".join(str(warning) for warning in structure.get_warnings()).lower()
    return any(sign in told for sign in _SIGNS_OF_DAMAGE)


def _long_boxes(structure: pikepdf.Pdf) -> dict[tuple[int, int], Box]:
    """MediaBoxes of more than four numbers, looked up before qpdf has replaced them."""
    found: dict[tuple[int, int], Box] = {}
    seen: set[tuple[int, int]] = set()
    waiting: list[tuple[Any, Box | None]] = [(structure.Root.get("/Pages"), None)]
    while waiting and len(seen) < _MOST_NODES:
        node, over = waiting.pop()
        if not isinstance(node, pikepdf.Dictionary) or node.objgen in seen:
            continue
        seen.add(node.objgen)
        media = node.get("/MediaBox")
        if media is not None:
            over = _box(media) if isinstance(media, pikepdf.Array) and len(media) > 4 else None
        if isinstance(kids := node.get("/Kids"), pikepdf.Array):
            waiting += [(kid, over) for kid in list(kids)[:_MOST_NODES]]
        elif over is not None:
            found[node.objgen] = over
    return found


def _count_pages(structure: pikepdf.Pdf) -> int:
    pages = len(structure.pages)
    if pages == 0:
        raise ArtworkRefused(
            "pdf-no-pages",
            "This PDF has no pages.",
            "Export the artwork again from the program that it was drawn in, and send that file.",
        )
    return pages


def _picture_of(structure: pikepdf.Pdf) -> pypdfium2.PdfDocument:
    try:
        rewritten = io.BytesIO()
        structure.save(rewritten, encryption=False)
        picture = _open_picture(rewritten.getvalue())
    except (pikepdf.PdfError, RuntimeError, ValueError) as error:
        raise _damaged() from error
    if picture is None:
        raise _damaged()
    return picture


def _damaged() -> ArtworkRefused:
    return ArtworkRefused(
        "pdf-damaged",
        "This PDF is damaged and cannot be read.",
        "Export the artwork again from the program that it was drawn in, and send that file.",
    )


def sheet_of(document: Document, page: pikepdf.Page) -> Sheet:
    """The visible sheet: CropBox ∩ MediaBox, turned by Rotate, times UserUnit (ISO 32000-1 14.11.2)."""
    media = document.long_boxes.get(page.obj.objgen) or _box(inherited(page.obj, "/MediaBox"))
    name = "MediaBox" if media else "Letter"
    box = media or LETTER
    crop = _box(inherited(page.obj, "/CropBox"))
    if crop and not _is_flat(shown := crop.cut(box)) and shown != box:
        box, name = shown, "CropBox"
    rotate = int(number(inherited(page.obj, "/Rotate"), 0.0) // 90) % 4 * 90
    unit = number(page.obj.get("/UserUnit"), 1.0)
    unit = unit if unit > 0 else 1.0
    wide, high = (box.x1 - box.x0) * unit, (box.y1 - box.y0) * unit
    if rotate in (90, 270):
        wide, high = high, wide
    return Sheet(box, rotate, unit, name, wide, high, _upright(box, rotate, unit))


def _upright(box: Box, rotate: int, unit: float) -> Matrix:
    if rotate == 90:
        return Matrix(0, unit, unit, 0, -box.y0 * unit, -box.x0 * unit)
    if rotate == 180:
        return Matrix(-unit, 0, 0, unit, box.x1 * unit, -box.y0 * unit)
    if rotate == 270:
        return Matrix(0, -unit, -unit, 0, box.y1 * unit, box.x1 * unit)
    return Matrix(unit, 0, 0, -unit, -box.x0 * unit, box.y1 * unit)


def inherited(page: Any, key: str) -> Any:
    """A page attribute, looked up through its parents (ISO 32000-1 7.7.3.4), never for ever."""
    node = page
    for _ in range(60):
        if not isinstance(node, pikepdf.Object) or not hasattr(node, "get"):
            return None
        value = node.get(key)
        if value is not None:
            return value
        node = node.get("/Parent")
        if node is None:
            return None
    return None


def number(value: Any, otherwise: float) -> float:
    """A finite number from a PDF object, else `otherwise`."""
    try:
        plain = float(value)
    except (TypeError, ValueError, OverflowError):
        return otherwise
    return plain if math.isfinite(plain) else otherwise


def numbers(value: Any, count: int) -> list[float] | None:
    """The first `count` numbers of a PDF array; None when there are fewer or others."""
    if not isinstance(value, pikepdf.Array) or len(value) < count:
        return None
    found = [number(item, math.nan) for item in list(value)[:count]]
    return None if any(math.isnan(v) for v in found) else found


def _box(value: Any) -> Box | None:
    corners = numbers(value, 4)
    if corners is None:
        return None
    x0, y0, x1, y1 = corners
    box = Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
    return None if _is_flat(box) else box


def _is_flat(box: Box) -> bool:
    return box.x1 - box.x0 < _LEAST_POINTS or box.y1 - box.y0 < _LEAST_POINTS


def set_picture_box(picture: pypdfium2.PdfDocument, index: int, sheet: Sheet) -> None:
    """Make PDFium take the same box and turn of page `index` (from 0) that `sheet` names.

    PDFium reads boxes by rules of its own (a MediaBox with more than four numbers becomes Letter); it takes
    what is written into the page when that is loaded the next time.
    """
    page = picture[index]
    try:
        pdfium.FPDFPage_SetMediaBox(page.raw, *sheet.box)
        pdfium.FPDFPage_SetCropBox(page.raw, *sheet.box)
        pdfium.FPDFPage_SetRotation(page.raw, sheet.rotate // 90)
    finally:
        page.close()
