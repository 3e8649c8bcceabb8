"""Size, shape, margins, pages, and artwork with nothing on it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.facts import Level, Place, PrintSize
from tests.intake.checks.facts_of import ART, FILM, INK, PAGE, examined, findings, only


@pytest.mark.parametrize(
    ("ordered", "shape", "is_told"),
    [
        ((100.0, 100.0), 1.0, False),
        ((100.0, 99.1), 1.0, False),
        ((100.0, 98.9), 1.0, True),
        ((98.9, 100.0), 1.0, True),
        ((90.0, 81.4), 1063 / 961, False),
        ((100.0, None), 3.0, False),
        ((None, 100.0), 3.0, False),
    ],
)
def test_width_and_height_must_agree_with_the_shape(
    ordered: tuple[float | None, float | None], shape: float, is_told: bool
) -> None:
    """Both ordered and more than 1 % off the artwork's shape is a query; one alone never is."""
    size = PrintSize(100.0, 100.0 / shape, *ordered)
    box = Place(0, 0, 100.0, 100.0)
    pages = replace(PAGE, shape=shape, size_mm=(100.0, 100.0 / shape))
    told = [f.check for f in findings(examined(pages, size, replace(INK, ink_box=box)))]
    assert ("shape" in told) is is_told


def test_a_wrong_shape_tells_both_ways_out() -> None:
    """The finding says how high it would be at that width and how wide at that height."""
    found = only(examined(PAGE, PrintSize(100, 100, 100, 50), replace(INK, ink_box=Place(0, 0, 100, 100))))
    assert (found.check, found.level, found.measured, found.limit) == ("shape", Level.QUERY, 1.0, 0.01)
    assert "100.0 mm high" in found.says
    assert "50.0 mm wide" in found.says


@pytest.mark.parametrize(
    ("wide", "high", "level"),
    [
        (590.0, 590.0, None),
        (590.0, 4900.0, None),
        (700.0, 500.0, Level.NOTE),
        (700.0, 591.0, Level.REFUSE),
        (591.0, 700.0, Level.REFUSE),
        (500.0, 5100.0, Level.REFUSE),
    ],
)
def test_the_film_decides_what_fits(wide: float, high: float, level: Level | None) -> None:
    """Wider than the film both ways or too long: refused; wider one way only: printed turned, a note."""
    art = replace(PAGE, shape=wide / high, size_mm=(wide, high))
    ink = replace(INK, ink_box=Place(0, 0, wide, high))
    found = findings(examined(art, PrintSize(wide, high, wide), ink))
    assert [(f.check, f.level) for f in found] == ([("fit", level)] if level else [])


def test_the_film_is_the_shops_own() -> None:
    """On a 330 mm roll a print of 400 × 350 mm is refused."""
    narrow = FILM.model_copy(update={"width_mm": 330.0, "printable_mm": 320.0})
    art = replace(PAGE, shape=400 / 350, size_mm=(400.0, 350.0))
    ink = replace(INK, ink_box=Place(0, 0, 400, 350))
    found = only(examined(art, PrintSize(400, 350, 400), ink), film=narrow)
    assert (found.level, found.measured, found.limit) == (Level.REFUSE, 350.0, 320.0)


@pytest.mark.parametrize(
    ("ordered", "box", "measured"),
    [
        ((100.0, None), Place(0, 0, 98.1, 50), None),
        ((100.0, None), Place(0, 0, 97.9, 100), 97.9),
        ((None, 100.0), Place(0, 0, 50, 100), None),
        ((None, 100.0), Place(0, 0, 100, 90), 90.0),
        ((None, None), Place(0, 0, 90, 50), 90.0),
        ((100.0, 100.0), Place(0, 0, 100, 80), 80.0),
    ],
)
def test_margins_are_a_query_that_offers_to_trim(
    ordered: tuple[float | None, float | None], box: Place, measured: float | None
) -> None:
    """Ink more than 2 % narrower than ordered says its true size; the direction that was ordered counts."""
    found = findings(examined(PAGE, PrintSize(100, 100, *ordered), replace(INK, ink_box=box)))
    assert [f.measured for f in found] == ([measured] if measured else [])
    if measured:
        assert found[0].check == "margins"
        assert f"{measured:.1f} mm" in found[0].says
        assert "trim" in found[0].do
        assert found[0].places == (box,)


def test_nothing_inked_is_refused_and_said_once() -> None:
    """An empty picture has one finding, whatever else could be measured on it."""
    coarse = replace(ART, pixels=(10, 10))
    found = only(examined(coarse, ink=replace(INK, ink_box=None, ink_area_mm2=0.0)))
    assert (found.check, found.level) == ("empty", Level.REFUSE)


def test_several_pages_are_a_query_unless_one_is_named() -> None:
    """The first page is judged, and the customer asked; an order that names its page isn't."""
    book = replace(ART, pages=3)
    assert (only(examined(book)).check, only(examined(book)).measured) == ("pages", 3)
    assert findings(examined(book, page_named=True)) == ()


def test_remarks_of_the_reader_are_notes_told_once() -> None:
    """Each remark is one note, in the reader's words."""
    facts = examined(replace(ART, notes=("One.", "Two.")), ink=replace(INK, notes=("Two.", "Three.")))
    assert [(f.check, f.level, f.says) for f in findings(facts)] == [
        ("file", Level.NOTE, says) for says in ("One.", "Two.", "Three.")
    ]


def test_without_measures_what_the_header_says_is_judged() -> None:
    """A file of which only the header could be read is still judged by size, pages and resolution."""
    facts = examined(replace(ART, pages=2, pixels=(100, 100)), PrintSize(700, 700, 700), ink=None)
    assert {f.check for f in findings(facts)} == {"pages", "fit", "resolution"}


@given(st.floats(1, 3000), st.floats(0.05, 20))
def test_an_order_for_one_length_never_has_a_wrong_shape(width_mm: float, shape: float) -> None:
    """When the other side follows from the artwork it cannot disagree."""
    art = replace(PAGE, shape=shape, size_mm=(100.0, 100.0 / shape))
    found = findings(examined(art, PrintSize(width_mm, width_mm / shape, width_mm)))
    assert "shape" not in {f.check for f in found}
