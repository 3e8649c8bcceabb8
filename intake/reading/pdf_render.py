"""A PDF page painted on nothing at all, band by band, so that only its ink is there to be measured."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2  # type: ignore[import-untyped]  # ships no types
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]

from tickets.problems import ArtworkRefused

if TYPE_CHECKING:
    from numpy.typing import NDArray

BAND_BYTES = 24 * 1024 * 1024  # of one band's bitmap: few bands, as PDFium goes through all objects for each
_FLAGS = pdfium.FPDF_ANNOT | pdfium.FPDF_REVERSE_BYTE_ORDER


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
