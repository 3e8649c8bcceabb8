"""A PDF page painted on nothing at all, band by band, so that only its ink is there to be measured."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2  # type: ignore[import-untyped]  # ships no types
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]

from tickets.problems import ArtworkRefused

if TYPE_CHECKING:
    from numpy.typing import NDArray

BAND_BYTES = 24 * 1024 * 1024  # of one band's bitmap: few bands, as PDFium goes through all objects for each
_FLAGS = pdfium.FPDF_ANNOT | pdfium.FPDF_REVERSE_BYTE_ORDER


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a page lies on a picture: the box that it fills in px, and how it lies in it.

    `turned`: by 90° clockwise, after it was `mirrored` left to right.
    """

    left: float
    top: float
    width: float
    height: float
    turned: bool = False
    mirrored: bool = False

    def matrix(self, wide: float, high: float) -> tuple[float, float, float, float, float, float]:
        """From points of the page, `wide` × `high`, y downwards, to px."""
        if self.turned:
            across, down = self.height / wide, self.width / high
            if self.mirrored:
                return (0, -across, -down, 0, self.left + self.width, self.top + self.height)
            return (0, across, -down, 0, self.left + self.width, self.top)
        across, down = self.width / wide, self.height / high
        if self.mirrored:
            return (-across, 0, 0, down, self.left + self.width, self.top)
        return (across, 0, 0, down, self.left, self.top)


def drawn_through(
    document: pypdfium2.PdfDocument, index: int, placed: Placed, size: tuple[int, int]
) -> NDArray[np.uint8]:
    """A page drawn at a place among so many px, on nothing: straight RGBA. Notes and fields are not drawn."""
    page = document[index]
    pixels = np.zeros((size[1], size[0], 4), np.uint8)
    buffer = pixels.ctypes.data_as(ctypes.c_void_p)
    bitmap = pdfium.FPDFBitmap_CreateEx(*size, pdfium.FPDFBitmap_BGRA, buffer, size[0] * 4)
    if not bitmap:
        raise MemoryError("no bitmap for a page")
    try:
        matrix = pdfium.FS_MATRIX(*placed.matrix(page.get_width(), page.get_height()))
        clip = pdfium.FS_RECTF(0, 0, *size)
        pdfium.FPDF_RenderPageBitmapWithMatrix(bitmap, page.raw, matrix, clip, pdfium.FPDF_REVERSE_BYTE_ORDER)
    finally:
        pdfium.FPDFBitmap_Destroy(bitmap)
        page.close()
    return pixels


class PagePicture:
    """The pixels of one page at a size in px (intake.facts.Pixels): straight RGBA, clear where no paint is.

    PDFium takes the size in pixels from here, so neither its idea of the page's size nor its ignorance of
    UserUnit matters. Annotations and filled-in form fields that are shown on the page are painted.
    """

    has_alpha = True

    def __init__(
        self, document: pypdfium2.PdfDocument, index: int, size: tuple[int, int], *, lossy: bool
    ) -> None:
        self._document = document
        self._index = index
        self.width, self.height = size
        self.lossy = lossy

    def bands(self, rows: int) -> Iterator[NDArray[np.uint8]]:
        """Yield bands of at most `rows` rows, top to bottom."""
        painted_rows = max(1, min(self.height, BAND_BYTES // (4 * self.width)))
        painted_rows = max(rows, painted_rows // rows * rows) if rows < self.height else self.height
        page = self._load()
        try:
            for top in range(0, self.height, painted_rows):
                band = self._paint(page, top, min(painted_rows, self.height - top))
                for start in range(0, band.shape[0], rows):
                    yield np.ascontiguousarray(band[start : start + rows])
        finally:
            page.close()

    def _load(self) -> pypdfium2.PdfPage:
        try:
            return self._document[self._index]
        except pypdfium2.PdfiumError as error:
            raise ArtworkRefused(
                "pdf-damaged",
                f"Page {self._index + 1} of this PDF is damaged and cannot be drawn.",
                "Export the artwork again from the program that it was drawn in, and send that file.",
            ) from error

    def _paint(self, page: pypdfium2.PdfPage, top: int, rows: int) -> NDArray[np.uint8]:
        band = np.zeros((rows, self.width, 4), np.uint8)
        buffer = band.ctypes.data_as(ctypes.c_void_p)
        bitmap = pdfium.FPDFBitmap_CreateEx(self.width, rows, pdfium.FPDFBitmap_BGRA, buffer, self.width * 4)
        if not bitmap:
            raise MemoryError("no bitmap for a band of the page")
        try:
            placed = (page.raw, 0, -top, self.width, self.height, 0, _FLAGS)
            pdfium.FPDF_RenderPageBitmap(bitmap, *placed)
            if self._document.formenv is not None:
                pdfium.FPDF_FFLDraw(self._document.formenv.raw, bitmap, *placed)
        finally:
            pdfium.FPDFBitmap_Destroy(bitmap)
        return band


def thumbnail(picture: PagePicture) -> NDArray[np.uint8]:
    """The whole page at once, for small sizes."""
    return np.concatenate(list(picture.bands(picture.height)))
