"""Coverage of PDF pages as Ghostscript, a renderer that shares no code with ours, paints it."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from intake.facts import PrintSize
from tests.intake.reading.pdf_drawing import Drawing
from tests.intake.reading.test_pdf_picture import MADE, painted

INK = "0 0 0 rg 0 0 0 RG "
ART = {
    "shapes": INK + "40 40 80 60 re f 180 180 m 260 180 l 220 260 l f",
    "holes": INK + "30 30 220 220 re 90 90 100 100 re f*",
    "curves": INK + "40 140 m 40 20 240 20 240 140 c 240 260 40 260 40 140 c f",
    "strokes": INK + "10 w 40 40 m 140 240 l 240 40 l S",
    "dashes": INK + "8 w [20 12] 0 d 20 140 m 268 140 l S",
    "clip": INK + "q 60 60 100 100 re W n 0 0 288 288 re f Q",
    "turned": INK + "q .866 .5 -.5 .866 144 0 cm 20 20 120 60 re f Q",
}
PAGE_PT = 288


def by_ghostscript(path: Path, ppi: int, folder: Path) -> NDArray[np.float64]:
    """Coverage of the first page, 0 to 1, anti-aliased."""
    program = next((p for n in ("gs", "gswin64c", "gswin32c") if (p := shutil.which(n))), None)
    if program is None:
        pytest.skip("Ghostscript is not installed")
    out = folder / "page.png"
    asked = ["-dSAFER", "-dBATCH", "-dNOPAUSE", "-q", "-dUseCropBox", "-dFirstPage=1", "-dLastPage=1"]
    asked += ["-sDEVICE=pngalpha", f"-r{ppi}", "-dTextAlphaBits=4", "-dGraphicsAlphaBits=4"]
    subprocess.run([program, *asked, f"-sOutputFile={out}", str(path)], check=True, timeout=60)
    with Image.open(out) as page:
        return np.asarray(page.getchannel("A"), dtype=np.float64) / 255


def compare(path: Path, width_pt: float, height_pt: float, folder: Path) -> None:
    """The covered share agrees within 0.2 % of the page; hardly a pixel is inked by one of the two alone."""
    size = PrintSize(width_pt * 25.4 / 72, height_pt * 25.4 / 72)
    _, pixels, rgba = painted(path, size)
    ours = rgba[..., 3].astype(np.float64) / 255
    theirs = by_ghostscript(path, round(pixels.width * 72 / width_pt), folder)
    rows, columns = (min(a, b) for a, b in zip(ours.shape, theirs.shape, strict=True))
    assert max(abs(a - b) for a, b in zip(ours.shape, theirs.shape, strict=True)) <= 1
    ours, theirs = ours[:rows, :columns], theirs[:rows, :columns]
    assert abs(ours.mean() - theirs.mean()) < 0.002
    assert (np.abs(ours - theirs) > 0.75).mean() < 0.002


@pytest.mark.parametrize("name", sorted(ART))
def test_drawn_pages_cover_what_another_renderer_says(name: str, tmp_path: Path) -> None:
    """Fills, holes, curves, strokes, dashes, clips, turned coordinates."""
    compare(Drawing(ART[name]).write(tmp_path / "a.pdf"), PAGE_PT, PAGE_PT, tmp_path)


@pytest.mark.parametrize(
    "name",
    ["pdf_nested_form_image", "pdf_rotated45_image", "pdf_white_box", "pdf_box_partial_alpha"],
)
def test_painted_pictures_cover_what_another_renderer_says(name: str, tmp_path: Path) -> None:
    """Images in forms, turned images, boxes, constant alpha."""
    compare(MADE / f"{name}.pdf", PAGE_PT, PAGE_PT, tmp_path)
