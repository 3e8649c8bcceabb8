"""The artwork report and its picture: every finding with its place, value, limit and what to do."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from intake.facts import Finding, Level, Place, Preflight, Verdict
from intake.report import draw_findings, finding_from_json, render_report
from intake.report.panel import COLOURS, choose_details, draw_detail, region_in
from tests.intake.report_samples import FACTS, FINDINGS, PRINT_MM, REFUSED, preflight
from tests.tickets.paper.samples import art, page_sizes_mm, render, text_of
from tickets import wording
from tickets.paper import load_fonts
from tickets.paper.fitting import Box
from tickets.paper.sheet import Sheet

FONTS = load_fonts()
LONG_LINE = Place(2.0, 3.0, 80.0, 60.0, (70.0, 12.0))
A4 = (210.0, 297.0)  # ISO 216


def test_the_report_is_one_page_with_every_finding() -> None:
    """A4; shop, order, item and size at its head; each finding with value, limit and what to do."""
    pdf = render_report(FACTS, preflight(), FONTS)
    assert page_sizes_mm(pdf) == [pytest.approx(A4, abs=0.1)]
    said = text_of(pdf)
    for finding in FINDINGS:
        assert finding.says in said
        assert finding.do in said
        assert wording.check_title(finding.check) in said
    for words in (
        *("Our print shop", "OB-1042", "Item 1 of 3", "Otter Bank Rowing Club", "crest.png", "90 × 67.5 mm"),
        *("0.21 mm", "0.30 mm", "152 ppi", "200 ppi", "0.8 %", "1.0 %", "We have 2 questions", "left chest"),
        *("prints@shop.example", "+44 1632 960100", "shown at its real size", "navy hoodie (#10213f)"),
    ):
        assert words in said, words


def test_the_same_report_gives_the_same_bytes() -> None:
    """So that writing it again after a crash changes nothing."""
    assert render_report(FACTS, preflight(), FONTS) == render_report(FACTS, preflight(), FONTS)


def test_many_findings_go_on_on_further_pages() -> None:
    """None is left out or cut in two; pages are numbered."""
    many = tuple(replace(FINDINGS[0], says=f"Finding number {n} of them all.") for n in range(1, 24))
    pdf = render_report(FACTS, preflight(many), FONTS)
    pages = len(page_sizes_mm(pdf))
    assert pages > 1
    said = text_of(pdf)
    assert all(f"Finding number {n} of them all." in said for n in range(1, 24))
    assert f"Page {pages} of {pages}" in said


def test_six_questions_fit_one_page() -> None:
    """They are set a little closer rather than left for a second page with much paper and few words."""
    long = FINDINGS[0]
    many = tuple(
        replace(long, check=name) for name in ("line-width", "gap-width", "islands", "specks", "text")
    )
    words = "The art itself is 87.0 mm wide; the other 3.0 mm of the ordered 90.0 mm are empty margin."
    pdf = render_report(FACTS, preflight((*many, replace(long, says=words, do=words))), FONTS)
    assert len(page_sizes_mm(pdf)) == 1


def test_a_file_that_could_not_be_opened_has_its_report_too() -> None:
    """Without a picture, and with the reason."""
    refused = Preflight("back.pdf", Verdict.REFUSE, None, {}, (REFUSED,))
    said = text_of(render_report(FACTS, refused, FONTS))
    assert wording.VERDICTS["refuse"] in said
    assert wording.NO_ART_TO_SHOW in said
    assert REFUSED.says in said


def test_artwork_without_findings_is_called_clear() -> None:
    """Good news is said as plainly."""
    said = text_of(render_report(FACTS, preflight(()), FONTS))
    assert wording.VERDICTS["clear"] in said
    assert wording.NOTHING_FOUND in said


def _count_colour(pixels: NDArray[np.uint8], level: Level) -> int:
    wanted = np.array([round(part * 255) for part in COLOURS[level]])
    near = np.abs(pixels.astype(int) - wanted).max(axis=-1) < 12
    return int(near.sum())


def test_the_picture_frames_each_place_in_the_colour_of_its_level() -> None:
    """Moving a place moves its frame: there is colour where it is, and none where it was."""
    for x_mm, y_mm in ((20.0, 20.0), (70.0, 50.0)):
        place = Place(x_mm, y_mm, 4.0, 4.0)
        found = Finding("gap-width", Level.REFUSE, "Too narrow.", "Widen it.", 0.2, 0.5, "mm", (place,))
        marked = np.asarray(Image.open(io.BytesIO(draw_findings(art(), (found,), PRINT_MM))))
        bare = np.asarray(Image.open(io.BytesIO(draw_findings(art(), (), PRINT_MM))))
        assert _count_colour(bare, Level.REFUSE) == 0
        ys, xs = np.nonzero(
            np.abs(marked.astype(int) - [round(part * 255) for part in COLOURS[Level.REFUSE]]).max(-1) < 12
        )
        # The art fills the picture's middle, 150 mm long, 15 mm from the left and 6 mm from the top edge.
        px_a_mm = marked.shape[1] / (150 + 2 * 9 + 2 * 6)
        centre = ((15 + (x_mm + 2) / 90 * 150) * px_a_mm, (6 + (y_mm + 2) / 67.5 * 112.5) * px_a_mm)
        reach = (4 / 90 * 150 / 2 + 1.5) * px_a_mm
        inside = (abs(xs - centre[0]) < reach) & (abs(ys - centre[1]) < reach)
        assert inside.sum() > 50
        sides = xs[inside].max() - xs[inside].min(), ys[inside].max() - ys[inside].min()
        assert min(sides) > 4 / 90 * 150 * px_a_mm * 0.9


def test_a_tiny_place_is_framed_so_that_it_is_seen() -> None:
    """A hair of 0.05 mm has a frame of two millimetres on paper."""
    tiny = Finding(
        "line-width", Level.REFUSE, "Thin.", "Thicken it.", 0.05, 0.3, "mm", (Place(45, 30, 0.05, 0.05),)
    )
    pixels = np.asarray(Image.open(io.BytesIO(draw_findings(art(), (tiny,), PRINT_MM))))
    assert _count_colour(pixels, Level.REFUSE) > 300


def test_a_report_enlarges_small_places() -> None:
    """A detail is shown many times its size, with a bar of known length."""
    said = text_of(render_report(FACTS, preflight(FINDINGS[:1]), FONTS))
    assert " ×" in said
    assert "2 mm" in said or "1 mm" in said or "5 mm" in said


def test_the_picture_lists_what_it_marks() -> None:
    """`--picture` needs no second sheet: numbers, checks and values stand under the art."""
    large = Image.open(io.BytesIO(draw_findings(art(), FINDINGS, PRINT_MM)))
    small = Image.open(io.BytesIO(draw_findings(art(), (), PRINT_MM)))
    assert large.format == "PNG"
    assert large.width == small.width
    assert large.height > small.height + 3 * 60


def test_a_page_that_tells_the_findings_gets_the_art_alone() -> None:
    """The same frames without the list, and larger numbers, so that a phone shows them."""
    listed = Image.open(io.BytesIO(draw_findings(art(), FINDINGS, PRINT_MM)))
    alone = Image.open(io.BytesIO(draw_findings(art(), FINDINGS, PRINT_MM, is_listed=False)))
    assert alone.height / alone.width < 0.8 * listed.height / listed.width
    inked = [_count_colour(np.asarray(one), Level.QUERY) / one.width**2 for one in (listed, alone)]
    assert inked[1] > 1.1 * inked[0]


def test_without_a_picture_there_is_nothing_to_draw_on() -> None:
    """Said so, instead of an empty picture."""
    with pytest.raises(ValueError, match="no picture"):
        draw_findings(b"", FINDINGS, PRINT_MM)


@pytest.mark.parametrize("finding", [*FINDINGS, REFUSED])
def test_a_finding_comes_back_from_the_books(finding: Finding) -> None:
    """What `check --json` and the books keep is the whole finding, with where each place is worst."""
    placed = replace(finding, places=(*finding.places, Place(1.0, 2.0, 30.0, 40.0, (7.5, 9.25))))
    back = finding_from_json(placed.as_json())
    assert back == placed
    assert [place.at_mm for place in back.places] == [place.at_mm for place in placed.places]
    older = {key: value for key, value in placed.as_json().items() if key != "worst_at_mm"}
    assert finding_from_json(older) == placed


def test_a_large_place_is_enlarged_where_it_is_worst() -> None:
    """A long line's frame is the whole drawing; its inset shows where it is thinnest, five times as large."""
    (detail,) = choose_details([replace(FINDINGS[0], places=(LONG_LINE,))], PRINT_MM, 3)
    assert region_in(detail, 30.0, PRINT_MM) == Place(67.0, 9.0, 6.0, 6.0)
    small = replace(FINDINGS[0], places=(LONG_LINE, Place(28.0, 28.0, 3.0, 0.4, (28.1, 28.2))))
    (detail,) = choose_details([small], PRINT_MM, 3)
    assert region_in(detail, 30.0, PRINT_MM) == Place(26.5, 25.2, 6.0, 6.0)  # round the whole of a small one


@pytest.mark.parametrize(("garment", "is_seen"), [((16, 20, 24), True), (None, False)])
def test_an_old_rim_is_enlarged_on_the_garment(garment: tuple[int, int, int] | None, is_seen: bool) -> None:
    """A white rim does not show on light checkers: the inset has the garment's colour for its ground."""
    rim = replace(FINDINGS[0], check="fringe", places=(Place(20.0, 20.0, 4.0, 4.0),))
    (detail,) = choose_details([rim], PRINT_MM, 3)
    sheet = Sheet(40, 45, FONTS, title="inset", author="test")
    draw_detail(sheet, Box(5, 5, 30, 34.2), detail, Image.new("RGBA", (90, 68)), PRINT_MM, garment)
    dark = (render(sheet.finish(), 100) < 30).mean()
    assert bool(dark > 0.3) is is_seen


PLACES = st.builds(
    Place, st.floats(-50, 500), st.floats(-50, 500), st.floats(0, 400), st.floats(0, 400)
)  # beyond the art too: a report never fails for a strange place


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.builds(
            Finding,
            st.sampled_from(["line-width", "a-new-check", "resolution"]),
            st.sampled_from(list(Level)),
            st.text(max_size=300),
            st.text(max_size=200),
            st.none() | st.floats(0, 10_000),
            st.none() | st.floats(0, 10_000),
            st.sampled_from(["mm", "share", "ppi", None, "pieces"]),
            st.lists(PLACES, max_size=40).map(tuple),
        ),
        max_size=6,
    ).map(tuple),
    st.tuples(st.floats(0.5, 3000), st.floats(0.5, 3000)),
)
def test_any_findings_can_be_reported(findings: tuple[Finding, ...], print_mm: tuple[float, float]) -> None:
    """However many, wherever they are and whatever they say: the report and its picture come out."""
    checked = replace(preflight(findings), print_mm=print_mm)
    pdf = render_report(FACTS, checked, FONTS)
    assert all(size == pytest.approx(A4, abs=0.1) for size in page_sizes_mm(pdf))
    assert render(pdf, 30).min() < 128
