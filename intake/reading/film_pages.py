"""The pages of a run's file as another program sees them: what is placed where, and the picture (PDFium)."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

import numpy as np
import pypdfium2  # type: ignore[import-untyped]  # ships no types
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]
from numpy.typing import NDArray

_MM = 25.4 / 72
Matrix6 = tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class View:
    """A part of a page that is looked at: from so many px across and down, at `scale` px a point."""

    left: int
    top: int
    width: int
    height: int
    scale: float = 1.0


class FilmPages:
    """An opened run's file. Use it with `with`, in the sandbox: the artworks in it are strangers'."""

    def __init__(self, path: Path) -> None:
        """Raises ValueError when it is no PDF that can be read."""
        try:
            self._document = pypdfium2.PdfDocument(path)
        except pypdfium2.PdfiumError as error:
            raise ValueError(f"no PDF: {error}") from error
        self._pages: dict[int, pypdfium2.PdfPage] = {}

    def __enter__(self) -> FilmPages:
        return self

    def __exit__(
        self, _type: type[BaseException] | None, _error: BaseException | None, _trace: TracebackType | None
    ) -> None:
        for page in self._pages.values():
            page.close()
        self._document.close()

    def __len__(self) -> int:
        return len(self._document)

    def size_mm(self, index: int) -> tuple[float, float]:
        """Width and length of a page."""
        page = self._page(index)
        return page.get_width() * _MM, page.get_height() * _MM

    def placed(self, index: int) -> Iterator[Matrix6]:
        """For each artwork that is placed on a page, the way from the unit square to points on it."""
        page = self._page(index)
        for at in range(pdfium.FPDFPage_CountObjects(page.raw)):
            one = pdfium.FPDFPage_GetObject(page.raw, at)
            if pdfium.FPDFPageObj_GetType(one) in (pdfium.FPDF_PAGEOBJ_IMAGE, pdfium.FPDF_PAGEOBJ_FORM):
                matrix = pdfium.FS_MATRIX()
                pdfium.FPDFPageObj_GetMatrix(one, matrix)
                yield (matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f)

    def picture(self, index: int, view: View, *, is_mirrored: bool) -> NDArray[np.uint8]:
        """A part of a page on clear ground: straight RGBA, un-mirrored where the page is mirrored."""
        page = self._page(index)
        pixels = np.zeros((view.height, view.width, 4), np.uint8)
        buffer = pixels.ctypes.data_as(ctypes.c_void_p)
        size = (view.width, view.height)
        bitmap = pdfium.FPDFBitmap_CreateEx(*size, pdfium.FPDFBitmap_BGRA, buffer, view.width * 4)
        if not bitmap:
            raise MemoryError("no bitmap for a part of the film")
        scale = view.scale
        across, left = (-scale, page.get_width() * scale) if is_mirrored else (scale, 0.0)
        matrix = pdfium.FS_MATRIX(across, 0, 0, scale, left - view.left, -view.top)
        clip = pdfium.FS_RECTF(0, 0, view.width, view.height)
        try:
            pdfium.FPDF_RenderPageBitmapWithMatrix(
                bitmap, page.raw, matrix, clip, pdfium.FPDF_REVERSE_BYTE_ORDER
            )
        finally:
            pdfium.FPDFBitmap_Destroy(bitmap)
        return pixels

    def _page(self, index: int) -> pypdfium2.PdfPage:
        if index not in self._pages:
            self._pages[index] = self._document[index]
        return self._pages[index]
