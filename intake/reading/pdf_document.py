"""Opening a stranger's PDF: blank passwords, mending, and clear refusals."""

from __future__ import annotations

import io
import logging
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2  # type: ignore[import-untyped]  # ships no types
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]

from intake.reading.pdf_matrix import Box
from intake.reading.pdf_sheet import Sheet, box_of
from tickets.problems import ArtworkRefused

MOST_STREAM_BYTES = 64 * 1024 * 1024
_MOST_NODES = 20_000
_SIGNS_OF_DAMAGE = ("damaged", "reconstruct", "xref", "trailer", "recover")


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

    qpdf goes first, as it bounds what it unpacks. Raises ArtworkRefused: `pdf-needs-password`, `pdf-damaged`,
    `pdf-no-pages`, `pdf-bomb`.
    """
    _tame_libraries()
    structure, mended, long_boxes = _open_structure(path)
    try:
        pages = _count_pages(structure)
        picture = _open_picture(path)
        if picture is None or len(picture) != pages:
            picture, mended = _picture_of(structure), True
        return Document(structure, picture, pages, mended, long_boxes)
    except BaseException:
        structure.close()
        raise


def _tame_libraries() -> None:
    """Bound what qpdf unpacks of one stream, and keep both libraries from remarks about strangers' files."""
    pikepdf.settings.set_qpdf_limits(
        flate_max_memory=MOST_STREAM_BYTES,
        png_max_memory=MOST_STREAM_BYTES,
        tiff_max_memory=MOST_STREAM_BYTES,
        run_length_max_memory=MOST_STREAM_BYTES,
        parser_max_container_size_damaged=100_000,
    )
    for library in ("pypdfium2", "pikepdf"):
        logging.getLogger(library).setLevel(logging.CRITICAL)


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


def _open_structure(path: Path) -> _Opened:
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
        if is_out_of_bounds(error):
            raise too_heavy() from error
        return _rewritten_structure(path), True, {}


def _rewritten_structure(path: Path) -> pikepdf.Pdf:
    picture = _open_picture(path)
    if picture is None:
        raise _damaged()
    try:
        rewritten = io.BytesIO()
        picture.save(rewritten)
        structure = pikepdf.open(io.BytesIO(rewritten.getvalue()), suppress_warnings=True)
        len(structure.pages)
        return structure
    except (pikepdf.PdfError, pypdfium2.PdfiumError, RuntimeError, ValueError) as error:
        raise _damaged() from error
    finally:
        picture.close()


def is_out_of_bounds(error: Exception) -> bool:
    """Whether qpdf stopped because a stream unpacks to more than it may."""
    told = str(error).lower()
    return "memory limit" in told or "limit exceeded" in told


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
            over = box_of(media) if isinstance(media, pikepdf.Array) and len(media) > 4 else None
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


def too_heavy() -> ArtworkRefused:
    """The refusal of a content that is out of all proportion."""
    return ArtworkRefused(
        "pdf-bomb",
        "This PDF unpacks to far more than any artwork needs, and was not opened further.",
        "Export the artwork again from the program that it was drawn in, and send that file.",
    )


def set_picture_box(document: Document, index: int, sheet: Sheet) -> None:
    """Make PDFium take the same box and turn of page `index` (from 0) that `sheet` names.

    PDFium reads boxes by rules of its own (a MediaBox with more than four numbers becomes Letter); it takes
    what is written into the page when that is loaded the next time. A page that it cannot load is tried again
    from the mended file. Raises ArtworkRefused `pdf-damaged`.
    """
    try:
        page = document.picture[index]
    except pypdfium2.PdfiumError:
        document.picture.close()
        document.picture = _picture_of(document.structure)
        document.was_mended = True
        try:
            page = document.picture[index]
        except pypdfium2.PdfiumError as error:
            raise _damaged() from error
    try:
        pdfium.FPDFPage_SetMediaBox(page.raw, *sheet.box)
        pdfium.FPDFPage_SetCropBox(page.raw, *sheet.box)
        pdfium.FPDFPage_SetRotation(page.raw, sheet.rotate // 90)
    finally:
        page.close()
