"""The picture of a drawing: the same in tiles, the same by two renderers, and as wide as the lines say."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skia  # type: ignore[import-not-found]
from numpy.typing import NDArray

from config.settings import load_settings
from intake.facts import Ask, InkMeasures, PrintSize
from intake.measure import measure_ink
from intake.preflight import PreflightJob, run_preflight
from intake.reading import svg_render
from intake.reading.pdf import open_pdf
from tests.intake.reading.pdf_drawing import Drawing
from tests.intake.reading.svg_drawing import LIMITS, opened, painted, svg

SETTINGS = load_settings(None, {})
# Drawings that both renderers draw in full.
ART = {
    "shapes": '<rect x="5" y="5" width="30" height="20" rx="4"/><circle cx="70" cy="30" r="20" fill="red"/>'
    '<ellipse cx="40" cy="75" rx="30" ry="12" fill-opacity=".5"/>',
    "holes": '<path fill-rule="evenodd" d="M10 10H90V90H10zM30 30H70V70H30z"/>',
    "curves": '<path d="M10 50C10 10 90 10 90 50S10 90 10 50z"/>'
    '<path d="M20 80A30 15 20 1 0 80 80z" fill="red"/>',
    "strokes": '<path d="M10 90L50 10L90 90" fill="none" stroke="#000" stroke-width="6"/>',
    "dashes": '<path d="M5 50H95" stroke="#000" stroke-width="4" stroke-dasharray="7 3"/>',
    "opacity": '<g opacity=".5"><rect width="60" height="60"/>'
    '<rect x="40" y="40" width="50" height="50"/></g>',
    "gradient": '<defs><linearGradient id="g"><stop stop-color="red"/><stop offset="1" stop-color="red" '
    'stop-opacity="0"/></linearGradient></defs><rect x="10" y="10" width="80" height="80" fill="url(#g)"/>',
    "clip": '<defs><clipPath id="c"><circle cx="50" cy="50" r="30"/></clipPath></defs>'
    '<rect width="100" height="100" clip-path="url(#c)"/>',
    "turned": '<g transform="rotate(30 50 50) scale(.7)"><rect x="30" y="30" width="60" height="40"/></g>',
}  # fmt: skip


def by_skia(text: str, side: int) -> NDArray[np.uint8]:
    """Alpha of a 100 × 100 drawing by another renderer's own reader."""
    text = text.replace('width="100mm" height="100mm"', f'width="{side}" height="{side}"')
    dom = skia.SVGDOM.MakeFromStream(skia.MemoryStream(text.encode()))
    surface = skia.Surface(side, side)
    with surface as canvas:
        canvas.clear(skia.ColorTRANSPARENT)
        dom.setContainerSize(skia.Size(side, side))
        dom.render(canvas)
    return np.asarray(surface.makeImageSnapshot().toarray())[..., 3]


@pytest.mark.parametrize("name", sorted(ART))
def test_two_renderers_agree_on_coverage(name: str, tmp_path: Path) -> None:
    """Covered area within 0.1 % of the canvas, and no pixel off by more than its rim allows."""
    drawing = opened(svg(ART[name]), tmp_path)
    ours = painted(drawing, 100 * 254 / 1575)[..., 3].astype(float) / 255
    theirs = by_skia(svg(ART[name]), len(ours)).astype(float) / 255
    assert ours.shape == theirs.shape
    assert abs(ours.mean() - theirs.mean()) < 0.001
    assert (np.abs(ours - theirs) > 0.3).mean() < 0.0005


@pytest.mark.parametrize("name", sorted(ART))
def test_tiles_are_the_whole(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However small the tiles that memory allows, but for single steps of the renderer's 4 × 4 sampling."""
    drawing = opened(svg(ART[name]), tmp_path)
    whole = painted(drawing)
    monkeypatch.setattr(svg_render, "TILE_BYTES", 4 * whole.shape[1] * 37)
    tiled = painted(drawing, rows=16)
    assert tiled.shape == whole.shape
    away = np.abs(tiled[..., 3].astype(int) - whole[..., 3].astype(int))
    assert away.max() <= 64
    assert away.mean() < 0.2
    assert abs(float(tiled[..., 3].mean()) - float(whole[..., 3].mean())) < 0.1


def test_a_second_pass_gives_the_same(tmp_path: Path) -> None:
    """Bands may be asked for again."""
    pixels = opened(svg(ART["shapes"]), tmp_path).pixels_at(PrintSize(30, 30))
    one, other = (np.concatenate(list(pixels.bands(64))) for _ in range(2))
    assert (one == other).all()


def test_a_large_print_is_rendered_no_finer_than_allowed(tmp_path: Path) -> None:
    """A banner of ten metres does not take the shop's memory."""
    pixels = opened(svg(ART["shapes"]), tmp_path).pixels_at(PrintSize(10_000, 10_000))
    assert pixels.width * pixels.height <= LIMITS.largest_megapixels * 1.01e6


def measured(folder: Path, body: str, kind: str) -> InkMeasures:
    """Ink of a 40 × 40 mm drawing as SVG or PDF, by its picture alone."""
    size = PrintSize(40.0, 40.0)
    if kind == "SVG":
        drawing = opened(svg(body, 'width="40mm" height="40mm" viewBox="0 0 40 40"'), folder)
        pixels = drawing.pixels_at(size)
    else:
        points = 40 * 72 / 25.4
        path = Drawing(f"{points / 40:.9f} 0 0 {-points / 40:.9f} 0 {points:.9f} cm {body}",
                       media=f"[0 0 {points:.9f} {points:.9f}]").write(folder / "a.pdf")  # fmt: skip
        pixels = open_pdf(path, 1, LIMITS).pixels_at(size)
    return measure_ink(pixels, 40.0 / pixels.width, Ask(line_mm=1.5))


LINES = {
    "straight": ('<path d="M5 20H35" stroke="#000" stroke-width="{}"/>', "{} w 5 20 m 35 20 l S"),
    "slanted": ('<path d="M5 8L35 31" stroke="#000" stroke-width="{}"/>', "{} w 5 8 m 35 31 l S"),
    "ring": ('<circle cx="20" cy="20" r="12" fill="none" stroke="#000" stroke-width="{}"/>',
             "{} w 32 20 m 32 26.627 26.627 32 20 32 c 13.373 32 8 26.627 8 20 c 8 13.373 13.373 8 20 8 c "
             "26.627 8 32 13.373 32 20 c h S"),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(LINES))
@pytest.mark.parametrize("width_mm", [0.2, 0.3, 0.5, 1.0])
@pytest.mark.parametrize("kind", ["SVG", "PDF"])
def test_a_line_is_as_wide_in_the_picture_as_in_the_drawing(
    name: str, width_mm: float, kind: str, tmp_path: Path
) -> None:
    """Measured from a rendering by the raster measure, and told by the drawing: within a third of a pixel."""
    body = LINES[name][kind == "PDF"].format(width_mm)
    line = measured(tmp_path, body, kind).thinnest_line
    assert line is not None
    pixel_mm = 25.4 / LIMITS.render_ppi
    assert line.value_mm == pytest.approx(width_mm, abs=max(line.uncertainty_mm, pixel_mm / 3))


def test_the_answer_tells_a_thin_line_once(tmp_path: Path) -> None:
    """Seen in the drawing and in its picture, it is one place; its width is the drawing's."""
    path = tmp_path / "a.svg"
    path.write_text(svg('<path d="M5 50H95" stroke="#000" stroke-width=".2"/>'))
    answer = run_preflight(PreflightJob(path, "a.svg", SETTINGS.limits, SETTINGS.film, width_mm=100.0))
    (finding,) = [f for f in answer.findings if f.check == "line-width"]
    assert finding.measured == pytest.approx(0.2, abs=0.001)
    assert len(finding.places) == 1


def test_a_drawing_without_a_size_is_judged_at_the_ordered_one(tmp_path: Path) -> None:
    """Its lines scale with the print, though the file names no millimetres."""
    path = tmp_path / "a.svg"
    path.write_text(svg('<path d="M5 50H95" stroke="#000"/>', 'viewBox="0 0 100 100"'))
    answer = run_preflight(PreflightJob(path, "a.svg", SETTINGS.limits, SETTINGS.film, width_mm=20.0))
    assert answer.measures["thinnest_line_mm"] == pytest.approx(0.2, abs=0.02)
