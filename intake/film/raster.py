"""A run as pixels: each artwork at the wanted fineness once, laid where the plan has it. In the sandbox."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from config.settings import FileLimits
from intake.facts import PrintSize
from intake.film.proof_plan import PlannedPage, PlannedPiece, ProofPlan
from intake.reading import open_artwork
from intake.reading.film_pages import FilmPages, View
from intake.reading.film_raster import Spot, keep_pixels, of_array, write_run

_INCH_MM = 25.4


def write_raster(plan: ProofPlan, into: Path, ppi: float, limits: FileLimits) -> tuple[int, int]:
    """Write the whole run, its pages after each other, as `into`'s name ends; returns its size in px.

    What stands beside the art is taken from the run's PDF. Raises ArtworkRefused, MemoryError, OSError.
    """
    px_a_mm = ppi / _INCH_MM
    length_mm = sum(page.length_mm for page in plan.pages)
    size = (round(plan.pages[0].width_mm * px_a_mm), round(length_mm * px_a_mm))
    with tempfile.TemporaryDirectory(dir=into.parent, prefix=".tmp-") as folder:
        work = _Work(Path(folder), px_a_mm, limits)
        with FilmPages(Path(plan.pdf)) as pdf:
            start_mm = 0.0
            for at, page in enumerate(plan.pages):
                work.lay_art(page, start_mm)
                work.lay_others(pdf, at, page, start_mm, is_mirrored=plan.is_mirrored)
                start_mm += page.length_mm
        write_run(into, size, work.pictures, work.spots, ppi, is_mirrored=plan.is_mirrored)
        work.pictures.clear()
    return size


class _Work:
    """The pictures that are laid, and where."""

    def __init__(self, folder: Path, px_a_mm: float, limits: FileLimits) -> None:
        self._folder, self._px_a_mm, self._limits = folder, px_a_mm, limits
        self.pictures: dict[str, Any] = {}
        self.spots: list[Spot] = []

    def lay_art(self, page: PlannedPage, start_mm: float) -> None:
        """The pieces of a page that begins so far along the run."""
        for piece in page.pieces:
            if piece.art not in self.pictures:
                self.pictures[piece.art] = self._pixels_of(piece)
            left, top = (round(v * self._px_a_mm) for v in (piece.box[0], start_mm + piece.box[1]))
            self.spots.append(Spot(piece.art, left, top, piece.turned, piece.mirrored))

    def lay_others(
        self, pdf: FilmPages, at: int, page: PlannedPage, start_mm: float, *, is_mirrored: bool
    ) -> None:
        """Codes, marks and labels, cut out of the page."""
        scale = self._px_a_mm * _INCH_MM / 72
        for number, (x, y, wide, long) in enumerate(page.others):
            left, top = int(x * self._px_a_mm), int(y * self._px_a_mm)
            right, bottom = (int(np.ceil(v * self._px_a_mm)) for v in (x + wide, y + long))
            view = View(left, top, right - left, bottom - top, scale)
            name = f"{at}.{number}"
            self.pictures[name] = of_array(pdf.picture(at, view, is_mirrored=is_mirrored))
            self.spots.append(Spot(name, left, top + round(start_mm * self._px_a_mm)))

    def _pixels_of(self, piece: PlannedPiece) -> Any:
        across, along = piece.box[2:][::-1] if piece.turned else piece.box[2:]
        size = (max(1, round(across * self._px_a_mm)), max(1, round(along * self._px_a_mm)))
        opened = open_artwork(Path(piece.original), piece.page, self._limits)
        try:
            aside = self._folder / str(len(self.pictures))
            return keep_pixels(opened.pixels_at(PrintSize(across, along)), size, aside)
        finally:
            opened.close()
