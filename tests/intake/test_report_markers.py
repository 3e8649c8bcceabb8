"""The numbers beside the art: none over another, each on its side, in the order of its places."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.facts import Finding, Level, Place
from intake.report.markers import MOST_MARKERS, MOST_OF_ONE, ArtBox, choose_marked, frames_of, place_markers
from intake.report.panel import choose_details, region_in

ART = ArtBox(20.0, 30.0, 90.0, 60.0, 180.0, 120.0)
GAP = 6.0
TOP, BOTTOM = 30.0, 130.0
PLACES = st.builds(Place, st.floats(-5, 185), st.floats(-5, 125), st.floats(0, 60), st.floats(0, 60))


def finding(*places: Place) -> Finding:
    """A finding at these places."""
    return Finding("line-width", Level.QUERY, "Thin.", "Thicken.", 0.2, 0.3, "mm", places)


FOUND = st.lists(st.lists(PLACES, max_size=12).map(lambda places: finding(*places)), max_size=6)


def test_a_place_is_framed_where_it_is() -> None:
    """Print millimetres become page millimetres, centred on the place."""
    frame = ART.frame(Place(80.0, 40.0, 20.0, 10.0), 1, Level.NOTE)
    assert frame.middle == (20 + 90 / 2, 30 + 45 / 2)
    assert frame.width >= 10.0
    assert frame.height >= 5.0


@given(FOUND)
def test_frames_never_leave_the_art(found: list[Finding]) -> None:
    """A place at or over the edge is framed inside."""
    for frame in frames_of(found, ART):
        assert ART.x <= frame.x
        assert frame.x + frame.width <= ART.x + ART.width + 1e-6
        assert ART.y <= frame.y
        assert frame.y + frame.height <= ART.y + ART.height + 1e-6
        assert frame.width > 0
        assert frame.height > 0


@given(FOUND)
def test_every_finding_with_a_place_gets_a_number(found: list[Finding]) -> None:
    """The worst place of each is marked before any second place is."""
    marked = choose_marked(frames_of(found, ART))
    assert {frame.number for frame in marked} == {n for n, f in enumerate(found, 1) if f.places}
    assert len(marked) <= MOST_MARKERS
    assert all(sum(f.number == n for f in marked) <= MOST_OF_ONE for n in range(1, len(found) + 1))


@given(FOUND)
def test_markers_keep_apart_and_in_order(found: list[Finding]) -> None:
    """On each side at least a gap between any two, top to bottom as their frames lie, inside the margin."""
    marked = choose_marked(frames_of(found, ART))
    markers = place_markers(marked, ART, TOP, BOTTOM, GAP)
    assert sorted(m.frame.middle for m in markers) == sorted(frame.middle for frame in marked)
    for is_left in (True, False):
        side = [m for m in markers if m.is_left is is_left]
        heights = [m.y for m in side]
        assert all(TOP - 1e-6 <= y <= BOTTOM + 1e-6 for y in heights)
        assert all(later - earlier >= GAP - 1e-6 for earlier, later in pairwise(heights))
        assert [m.frame.middle[1] for m in side] == sorted(m.frame.middle[1] for m in side)


def test_a_marker_stands_level_with_its_place_when_there_is_room() -> None:
    """Alone on its side, its line is straight."""
    marked = choose_marked(frames_of([finding(Place(20.0, 50.0, 10.0, 10.0))], ART))
    (marker,) = place_markers(marked, ART, TOP, BOTTOM, GAP)
    assert marker.is_left
    assert marker.y == marked[0].middle[1]


def test_places_are_shown_five_times_their_size() -> None:
    """An inset is 5 times the real size: of a tiny place and what lies round it, of a long one its middle."""
    tiny, long = Place(40.0, 30.0, 0.2, 0.2), Place(10.0, 10.0, 15.0, 0.3)
    findings = [Finding("islands", Level.QUERY, "", "", places=(place,)) for place in (tiny, long)]
    details = choose_details(findings, (90.0, 67.5), 2)
    for side in (42.0, 28.0):
        small, middle = (region_in(detail, side, (90.0, 67.5)) for detail in details)
        assert side / small.width_mm == side / middle.width_mm == pytest.approx(5.0)
        assert middle.x_mm + middle.width_mm / 2 == pytest.approx(long.x_mm + long.width_mm / 2)
        assert small.x_mm < tiny.x_mm < small.x_mm + small.width_mm


def test_rows_of_alike_places_share_a_frame() -> None:
    """A region that is told in strips is framed once; places apart, or one within another, are not joined."""
    strips = [Place(10.0, 10.0 + 5 * k, 60.0, 5.0) for k in range(6)]
    (whole,) = frames_of([finding(*strips)], ART)
    assert whole.height > 14  # of 30 mm at half the size
    apart = [Place(10.0, 10.0, 4.0, 4.0), Place(50.0, 40.0, 4.0, 4.0)]
    assert len(frames_of([finding(*apart)], ART)) == 2
    within = [Place(10.0, 10.0, 60.0, 60.0), Place(30.0, 30.0, 10.0, 10.0)]
    assert len(frames_of([finding(*within)], ART)) == 2
