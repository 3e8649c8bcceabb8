"""Effective resolution: a note, a query, never a refusal, and never by the stored tag."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.checks.at_size import effective_ppi
from intake.facts import Level, PrintSize
from intake.preflight import measures_of
from tests.intake.checks.facts_of import ART, PAGE, examined, findings, image, only


@pytest.mark.parametrize(
    ("px", "width_mm", "level"),
    [
        (1181, 100.0, None),  # 299.97 ppi counts as 300
        (1063, 90.0, None),
        (1178, 100.0, Level.NOTE),  # 299.2
        (788, 100.0, Level.NOTE),  # 200.2
        (780, 100.0, Level.QUERY),  # 198.1
        (10, 100.0, Level.QUERY),  # never a refusal by itself
    ],
)
def test_pixels_and_print_size_decide(px: int, width_mm: float, level: Level | None) -> None:
    """Under 300 a note, under 200 a query, with half a pixel an inch for rounding (W3C PNG, pHYs)."""
    found = findings(examined(replace(ART, pixels=(px, px)), PrintSize(width_mm, width_mm), ink=None))
    assert [f.level for f in found] == ([level] if level else [])


@given(st.integers(1, 20000), st.integers(1, 20000), st.floats(5, 2000))
def test_the_stored_tag_never_matters(wide: int, high: int, width_mm: float) -> None:
    """Whatever the file claims of its resolution, the findings are the same."""
    size = PrintSize(width_mm, width_mm * high / wide, width_mm)
    art = replace(ART, pixels=(wide, high), shape=wide / high)
    claims = replace(art, stored_ppi=(1200.0, 1200.0), stored_ppi_from="pHYs")
    assert findings(examined(art, size)) == findings(examined(claims, size))


def test_the_worse_direction_counts() -> None:
    """300 across and 150 down is 150, and both are told."""
    found = only(examined(replace(ART, pixels=(1181, 591)), PrintSize(100, 100)))
    assert (found.check, found.level, found.measured, found.limit) == (
        "resolution",
        Level.QUERY,
        150.1,
        200.0,
    )
    assert "300" in found.says
    assert "150" in found.says


def test_a_page_is_as_good_as_its_worst_painted_image() -> None:
    """Of several images the worst decides, scaled to the print; its place is told in mm of the print."""
    page = replace(PAGE, images=(image(300, 300), image(200, 240)))
    found = only(examined(page, PrintSize(200, 200, 200), ink=None))
    assert (found.level, found.measured) == (Level.QUERY, 120.0)
    assert [p.as_list() for p in found.places] == [
        [7.06, 7.06, 42.33, 42.33],
        [7.06, 7.06, 50.8, 50.8],
    ]


def test_a_skewed_image_counts_by_its_worst_direction() -> None:
    """The direction in which the pixels are stretched most decides."""
    page = replace(PAGE, images=(image(300, 300, worst=150.0),))
    assert effective_ppi(examined(page)) == (150.0, 150.0)


def test_a_drawing_without_images_has_no_resolution() -> None:
    """Pure lines print at any size."""
    assert effective_ppi(examined(PAGE)) is None
    assert findings(examined(PAGE)) == ()


def test_an_image_of_one_colour_is_no_picture() -> None:
    """A plain area drawn as an image holds no detail to lose."""
    plain = replace(image(1, 0.5), is_plain=True)
    page = examined(replace(PAGE, images=(plain,)))
    assert findings(page) == ()
    assert measures_of(page)["ppi"] == [0.5, 0.5], "the number is told all the same"


def test_a_finer_mask_is_told_beside_its_image() -> None:
    """Colour of 10 ppi under a mask of 300 ppi: both are reported."""
    colour, mask = image(20, 10), replace(image(600, 300, "soft mask"), place_pt=image(20, 10).place_pt)
    found = only(examined(replace(PAGE, images=(colour, mask))))
    assert "20 × 20" in found.says
    assert "300" in found.says
