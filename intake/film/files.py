"""All files of a run: the PDF for the printer, the sheet that goes with the film, pixels on request."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from intake.durable import write_whole
from intake.film.making import MadeFile, look_of, make_raster, make_run_file, run_path
from intake.film.outlines import open_outlines
from intake.shop import Shop
from tickets.film.model import Ring, StoredRun, Way
from tickets.film.outlined import outlines_on_film
from tickets.lookup.order_names import customers_of
from tickets.paper.film.run_sheet import RunSheet, draw_run_sheet
from tickets.paper.fonts import load_fonts

SHEET = "-sheet.pdf"


@dataclass(frozen=True, slots=True)
class RunFiles:
    """What was written for a run."""

    made: MadeFile
    sheet: Path
    raster: Path | None = None

    def paths(self, folder: Path) -> list[str]:
        """Where the files lie, below the shop folder."""
        written = (self.made.path, self.sheet, self.raster)
        return [path.relative_to(folder).as_posix() for path in written if path is not None]

    def as_json(self, folder: Path) -> dict[str, Any]:
        """The keys of `film file --json`."""
        paths = self.paths(folder)
        run, drawn = self.made.run, self.made.drawn
        return {
            "run": run.code,
            "pdf": paths[0],
            "sheet": paths[1],
            "raster": paths[2] if self.raster is not None else None,
            "length_mm": round(drawn.length_mm, 2),
            "pages": len(drawn.pages),
            "pieces": len(run.pieces),
            "without_code": list(self.made.without_code),
            "notes": list(self.made.says),
        }


def _outlines(shop: Shop, run: StoredRun) -> Mapping[int, tuple[Ring, ...]]:
    """Where pieces lock into each other, their boxes would hide each other on the map."""
    if run.way not in (Way.OUTLINES, Way.FINISHED):
        return {}
    with open_outlines(shop) as outlines:
        return outlines_on_film(run.pieces, outlines)


def make_run_files(shop: Shop, run: StoredRun, raster: str = "", ppi: float = 300.0) -> RunFiles:
    """Make the file of a run, prove it, and write its sheet beside it; as pixels too, "tiff" or "png".

    Raises as `make_run_file` and `make_raster`.
    """
    made = make_run_file(shop, run)
    sheet = run_path(shop, run.code, SHEET)
    fonts = load_fonts(shop.settings.papers.font_files)
    paper = RunSheet(
        run=run,
        shop=shop.settings.shop.name,
        qr_text=look_of(shop, run).qr_text,
        film_mm=made.drawn.length_mm,
        customers=customers_of(shop.store, {piece.order for piece in run.pieces}),
        says=made.says,
        outlines=_outlines(shop, run),
    )
    write_whole(sheet, draw_run_sheet(paper, fonts))
    return RunFiles(made, sheet, make_raster(shop, made, raster, ppi) if raster else None)
