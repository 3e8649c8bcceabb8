"""The check measures on the test chart what the chart says, as a page and as a picture of it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pypdfium2  # type: ignore[import-untyped]  # ships no types
import pytest
from numpy.typing import NDArray
from PIL import Image

from config.settings import load_settings
from intake.chart import Feature, Kind, features, render_chart
from intake.chart.sizes import DOTS_MM, GAPS_MM, HEIGHT_MM, LINES_MM, WIDTH_MM
from intake.cli import main
from intake.facts import Ask, PrintSize, Spot
from intake.measure import measure_ink
from intake.reading import open_artwork
from tickets.paper.fonts import load_fonts

PPI = 400.0
# Renderers flatten small circles to polygons inside them: up to a third of a pixel more.
FLATTENED_MM = 0.34 * 25.4 / PPI


class Part:
    """A part of a rendered page as the measuring takes it."""

    has_alpha = True
    lossy = False

    def __init__(self, rgba: NDArray[np.uint8]) -> None:
        self.rgba = rgba
        self.height, self.width = rgba.shape[:2]

    def bands(self, rows: int) -> Iterator[NDArray[np.uint8]]:
        """All rows, in bands."""
        for top in range(0, self.height, rows):
            yield np.ascontiguousarray(self.rgba[top : top + rows])


@pytest.fixture(scope="module")
def chart_pdf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The chart."""
    path = tmp_path_factory.mktemp("chart") / "chart.pdf"
    path.write_bytes(render_chart(load_fonts()))
    return path


@pytest.fixture(scope="module")
def chart_png(chart_pdf: Path) -> Path:
    """Its first page as a picture with transparency, saying its resolution."""
    page = pypdfium2.PdfDocument(chart_pdf)[0]
    bitmap = page.render(scale=PPI / 72, fill_color=(0, 0, 0, 0), maybe_alpha=True, rev_byteorder=True)
    path = chart_pdf.with_suffix(".png")
    bitmap.to_pil().save(path, dpi=(PPI, PPI))
    return path


@pytest.fixture(scope="module", params=["pdf", "png"])
def rendered(request: pytest.FixtureRequest, chart_pdf: Path, chart_png: Path) -> NDArray[np.uint8]:
    """The first page as the reading gives it."""
    path = chart_pdf if request.param == "pdf" else chart_png
    limits = load_settings(None).limits.file.model_copy(update={"render_ppi": PPI})
    opened = open_artwork(path, 1, limits)
    try:
        pixels = opened.pixels_at(PrintSize(WIDTH_MM, HEIGHT_MM))
        return np.concatenate([band.copy() for band in pixels.bands(256)])
    finally:
        opened.close()


def spots_at(feature: Feature, page: NDArray[np.uint8]) -> list[Spot]:
    """What is measured around a feature with its size under the limit, the nearest to it first."""
    mm = WIDTH_MM / page.shape[1]
    more = 1.6 if feature.kind is not Kind.DOT else 0.9
    left, top = (max(0, round((v - more) / mm)) for v in (feature.x, feature.y))
    right = round((feature.x + feature.width + more) / mm)
    bottom = round((feature.y + feature.height + more) / mm)
    limit = feature.size_mm * 1.1 + 0.05
    ask = Ask(line_mm=limit, gap_mm=limit, island_mm=limit)
    found = measure_ink(Part(page[top:bottom, left:right]), mm, ask)
    spots = {Kind.LINE: found.thin_lines, Kind.GAP: found.thin_gaps, Kind.DOT: found.islands}[feature.kind]
    return sorted(spots, key=lambda s: abs(s.value_mm - feature.size_mm))


def test_every_feature_is_measured_as_it_is_labelled(rendered: NDArray[np.uint8]) -> None:
    """Each line, gap and dot is found at its place, as large as its label says within the uncertainty."""
    wrong = []
    for feature in features():
        found = spots_at(feature, rendered)
        more = FLATTENED_MM if feature.kind is Kind.DOT else 0.0
        if not found or abs(found[0].value_mm - feature.size_mm) > found[0].uncertainty_mm + more:
            wrong.append((feature, [spot.value_mm for spot in found[:2]]))
    assert wrong == []


def test_strokes_of_the_drawing_are_exact(chart_pdf: Path) -> None:
    """The drawing's own line widths are the labels, to a thousandth of a millimetre."""
    opened = open_artwork(chart_pdf, 1, load_settings(None).limits.file)
    opened.close()
    widths = {round(s.width_pt / 72 * 25.4, 3) for s in opened.artwork.strokes if s.kind == "stroke"}
    assert {round(size, 3) for size in LINES_MM if size <= max(widths)} == widths
    assert min(LINES_MM) in widths


@pytest.mark.parametrize("kind", ["pdf", "png"])
def test_the_check_names_the_smallest_of_each(
    kind: str, chart_pdf: Path, chart_png: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Checked at its real size, the chart's thinnest line comes out as printed; no dot or gap is missed."""
    path = chart_pdf if kind == "pdf" else chart_png
    assert main(["check", str(path), "--page", "1", "--width-mm", str(WIDTH_MM), "--json"]) == 3
    answer = json.loads(capsys.readouterr().out)
    assert answer["measures"]["thinnest_line_mm"] == pytest.approx(min(LINES_MM), abs=0.02)
    found = {f["check"]: f for f in answer["findings"]}
    assert found["line-width"]["measured"] == pytest.approx(min(LINES_MM), abs=0.02)
    # The stems and counters of the smallest letters are smaller than the smallest dot and gap.
    assert found["islands"]["measured"] <= min(DOTS_MM) + 0.02
    assert found["gap-width"]["measured"] <= min(GAPS_MM) + 0.02
    assert "soft" in found


def test_the_page_fits_a4_and_narrow_film(chart_pdf: Path) -> None:
    """Both pages fit A4 (ISO 216) with a margin, and 300 mm film; the ruler is 100 mm long."""
    document = pypdfium2.PdfDocument(chart_pdf)
    sizes = [tuple(v / 72 * 25.4 for v in page.get_size()) for page in document]
    assert len(sizes) == 2
    assert all(w <= 200 and h <= 287 for w, h in sizes)
    text = document[1].get_textpage().get_text_range()
    for said in ("The makers' instructions", "burn", "extraction", "dust", "pinch", "washed"):
        assert said in text
    assert "100 mm" in document[0].get_textpage().get_text_range()


def test_letters_left_open_hold_no_ink(chart_png: Path) -> None:
    """In the blocks of open type the letters are clear film, not white."""
    with Image.open(chart_png) as picture:
        alpha = np.asarray(picture)[..., 3]
    per_mm = PPI / 25.4
    block = alpha[round(204 * per_mm) : round(207 * per_mm), round(98 * per_mm) : round(140 * per_mm)]
    assert (block == 255).mean() > 0.5
    assert 0.03 < (block == 0).mean() < 0.5


def test_chart_writes_its_form_and_tells_its_sizes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command writes page and form, and the JSON holds all sizes."""
    out, form = tmp_path / "c.pdf", tmp_path / "f.json"
    assert main(["chart", str(out), "--form", str(form), "--colour", "#1060a0", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["sizes"]["line_mm"] == list(LINES_MM)
    assert json.loads(form.read_text())["line_mm"]["wash"] is None
    assert out.read_bytes().startswith(b"%PDF")
    assert main(["chart", str(out), "--colour", "red"]) == 2
    assert main(["chart", str(tmp_path / "nowhere" / "c.pdf")]) == 2
