"""Lines, gaps, dots, screens and lost white: one cause, one finding."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.facts import Level, Place, PrintSize
from tests.intake.checks.facts_of import (
    FILM,
    INK,
    LIMITS,
    PAGE,
    examined,
    findings,
    only,
    spot,
    stroke,
    with_ink,
)


def test_a_thin_line_is_a_query_with_its_place() -> None:
    """The thinnest line decides, all places are told."""
    found = only(with_ink(thin_lines=(spot(0.25, 50), spot(0.21, 10))))
    assert (found.check, found.level, found.measured, found.limit, found.unit) == (
        "line-width",
        Level.QUERY,
        0.21,
        0.3,
        "mm",
    )
    assert found.places[0].x_mm == 10
    assert len(found.places) == 2
    assert "0.21 mm" in found.says
    assert "0.30 mm" in found.do


@pytest.mark.parametrize(("value", "is_told"), [(0.294, True), (0.296, False), (0.3, False), (0.31, False)])
def test_a_line_is_judged_as_it_is_told(value: float, is_told: bool) -> None:
    """Nobody hears that 0.30 mm is under 0.30 mm."""
    assert bool(findings(with_ink(thin_lines=(spot(value),)))) is is_told


@pytest.mark.parametrize(
    ("width_pt", "print_mm", "level"), [(0.5, 100, "line-width"), (0.5, 300, None), (1, 100, None)]
)
def test_strokes_are_judged_at_print_size(width_pt: float, print_mm: float, level: str | None) -> None:
    """0.5 pt is 0.18 mm at the page's own size, and 0.53 mm at three times that."""
    found = findings(
        examined(replace(PAGE, strokes=(stroke(width_pt),)), PrintSize(print_mm, print_mm, print_mm))
    )
    assert [f.check for f in found if f.level == Level.QUERY and f.check != "margins"] == (
        [level] if level else []
    )


def test_a_hairline_is_under_any_limit() -> None:
    """Width 0 stays 0 at any size, and is called what it is."""
    found = only(examined(replace(PAGE, strokes=(stroke(0.0),))))
    assert found.measured == 0
    assert "without any thickness" in found.says


def test_a_line_that_other_ink_carries_is_no_finding() -> None:
    """A thin outline round a filled shape holds."""
    assert findings(examined(replace(PAGE, strokes=(stroke(0.1, stands_alone=False),)))) == ()


def test_a_stroke_that_the_picture_shows_too_is_told_once() -> None:
    """The renderer paints 0.035 mm as one pixel: one finding, one place, the drawn width."""
    drawn = examined(
        replace(PAGE, strokes=(stroke(0.1),)),
        ink=replace(INK, thin_lines=(spot(0.064, 10.0, 9.9),)),
    )
    found = only(drawn)
    assert found.measured == pytest.approx(0.035)
    assert len(found.places) == 1


def test_a_neck_beside_a_stroke_is_told_too() -> None:
    """Thin places elsewhere, and thinner ones at the same place, stay."""
    drawn = examined(
        replace(PAGE, strokes=(stroke(0.8),)),
        ink=replace(INK, thin_lines=(spot(0.2, 80, 80), spot(0.1, 10, 9.9))),
    )
    found = only(drawn)
    assert found.measured == 0.1
    assert len(found.places) == 3


def test_tapering_ends_are_a_note_only() -> None:
    """A line that runs out into a point is no thin line; a short tip is nothing."""
    found = only(with_ink(tapers=(spot(0.1, length_mm=2.0),)))
    assert (found.check, found.level) == ("line-width", Level.NOTE)
    assert findings(with_ink(tapers=(spot(0.1, length_mm=0.4),))) == ()


def test_gaps_and_dots_are_queries() -> None:
    """Each has its own finding, with the least value."""
    facts = with_ink(thin_gaps=(spot(0.4), spot(0.3, 40)), islands=(spot(0.45, 70),), island_count=120)
    gap, dots = findings(facts)
    assert (gap.check, gap.level, gap.measured, gap.limit) == ("gap-width", Level.QUERY, 0.3, 0.5)
    assert (dots.check, dots.level, dots.measured, dots.limit) == ("islands", Level.QUERY, 0.45, 0.5)
    assert "120" in dots.says


def test_a_screen_is_one_finding() -> None:
    """Thousands of dots and gaps of a halftone are one query; a thin line elsewhere stays one of its own."""
    screen = Place(0, 0, 30, 30)
    facts = with_ink(
        screened=True,
        screened_places=(screen,),
        thin_gaps=(spot(0.2),),
        islands=(spot(0.3),),
        thin_lines=(spot(0.2), spot(0.25, 80, 80)),
    )
    found = {f.check: f for f in findings(facts)}
    assert set(found) == {"screened", "line-width"}
    assert (found["screened"].level, found["screened"].measured) == (Level.QUERY, 0.2)
    assert found["line-width"].measured == 0.25


def test_a_coarse_screen_is_a_note() -> None:
    """A screen whose dots and gaps all hold is only mentioned."""
    found = only(with_ink(screened=True))
    assert (found.check, found.level) == ("screened", Level.NOTE)


def test_lost_white_is_told_where_no_line_explains_it() -> None:
    """A query over the share, a note under it, nothing where the thin line was told already."""
    lost = {"lost_white_area_mm2": 240.0, "lost_white_places": (Place(60, 60, 4, 4),)}
    assert (only(with_ink(**lost)).check, only(with_ink(**lost)).level) == ("white-lost", Level.QUERY)
    assert only(with_ink(**{**lost, "lost_white_area_mm2": 80.0})).level == Level.NOTE
    assert findings(with_ink(**{**lost, "lost_white_area_mm2": 20.0})) == ()
    explained = findings(with_ink(**lost, thin_lines=(spot(0.2, 10, 10),)))
    assert [f.check for f in explained] == ["line-width"]


def test_a_wide_choke_loses_white_that_no_line_limit_sees() -> None:
    """With a choke of 0.25 mm, lines of 0.4 mm lose theirs: told beside a thin line, except at its place."""
    wide = FILM.model_copy(update={"choke_mm": 0.25})
    lost = with_ink(
        lost_white_area_mm2=240.0,
        lost_white_places=(Place(60, 60, 4, 4), Place(9, 9, 4, 4)),
        thin_lines=(spot(0.2, 10, 10),),
    )
    line, white = findings(lost, film=wide)
    assert (line.check, white.check) == ("line-width", "white-lost")
    assert white.places == (Place(60, 60, 4, 4),)


def test_without_a_choke_no_white_is_lost() -> None:
    """A shop that does not pull its white in has no such finding."""
    facts = with_ink(lost_white_area_mm2=240.0, lost_white_places=(Place(60, 60, 4, 4),))
    assert findings(facts, film=FILM.model_copy(update={"choke_mm": 0.0})) == ()


@given(st.lists(st.floats(0.02, 1.0), max_size=30))
def test_the_shops_own_limit_decides(widths: list[float]) -> None:
    """With a limit of 0.15 mm lines are told below 0.15 and nowhere else, at most forty places."""
    own = LIMITS.model_copy(update={"line": LIMITS.line.model_copy(update={"query_mm": 0.15})})
    spots = tuple(spot(width, 2 * k) for k, width in enumerate(widths))
    found = findings(with_ink(thin_lines=spots), limits=own)
    under = [width for width in widths if round(width, 2) < 0.15]
    assert len(found) == bool(under)
    if under:
        assert found[0].measured == round(min(under), 3)
        assert found[0].limit == 0.15
        assert len(found[0].places) == min(40, len(under))
