"""Each repair mends what it says, nothing else, and only once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.facts import Artwork, Ask
from intake.measure.passes import measure_ink
from intake.repairs import (
    REPAIRS,
    Canvas,
    Keeps,
    Repair,
    Wishes,
    background,
    canvas_of,
    harden,
    specks,
    srgb,
    thicken,
    trim,
)
from intake.repairs.changes import CAME, GONE, picture_of_changes
from tests.intake.repairs.pictures import INK, MM_PER_PX, Rgba, drawn, on_ground, with_glow

WISHES = Wishes(Ask())
few = settings(max_examples=12, deadline=None)
inside = st.integers(60, 180)


def canvas(rgba: Rgba, keeps: Keeps = Keeps.SCALE) -> Canvas:
    """The art at 300 pixels an inch."""
    return canvas_of(rgba, MM_PER_PX, keeps=keeps)


class Held:
    """Pixels handed to the measuring."""

    lossy = False

    def __init__(self, held: Canvas) -> None:
        self.rgba = held.rgba
        self.width, self.height = held.size_px
        self.has_alpha = not held.is_opaque

    def bands(self, rows: int):  # type: ignore[no-untyped-def]  # the protocol has the types
        """All rows, in bands."""
        for top in range(0, self.height, rows):
            yield np.ascontiguousarray(self.rgba[top : top + rows])


def measured(held: Canvas):  # type: ignore[no-untyped-def]  # InkMeasures
    """What the check measures on a canvas."""
    return measure_ink(Held(held), held.mm_per_px, WISHES.ask)


def inked(held: Canvas) -> Rgba:
    """Coverage of the one ink, from alpha, or from how far its green has gone from white to the ink's."""
    if not held.is_opaque:
        return held.cover()
    green = held.rgba[..., 1].astype(float)
    return np.clip(np.rint((255 - green) / (255 - INK[1]) * 255), 0, 255).astype(np.uint8)


ART = drawn(240, 220, [(60, 60, 180, 180), (200, 20, 203, 23)], [(30, 195, 200, 197.5)])
SOFT = with_glow(drawn(240, 220, [(60, 60, 160, 160)]), 6.0)


@pytest.mark.parametrize("repair", REPAIRS, ids=lambda r: r.NAME)
@pytest.mark.parametrize("art", [ART, SOFT, on_ground(ART)], ids=["clear", "soft", "ground"])
def test_done_twice_is_done_once(repair: Repair, art: Rgba) -> None:
    """A repaired picture has nothing left for the same repair, and a repair never changes its input."""
    before = canvas(art.copy())
    once = repair.mend(before, WISHES)
    assert np.array_equal(before.rgba, art)
    assert once is None or repair.mend(once.canvas, WISHES) is None


@few
@given(
    left=inside, top=inside, wide=st.integers(5, 60), high=st.integers(5, 60), keeps=st.sampled_from(Keeps)
)
def test_trimmed_art_fills_its_canvas(left: int, top: int, wide: int, high: int, keeps: Keeps) -> None:
    """Trimming leaves every pixel of ink as it was, and what was ordered stays as large as ordered."""
    art = drawn(260, 250, [], [(left, top, left + wide, top + high)])
    before = canvas(art, keeps)
    done = trim.mend(before, WISHES)
    assert done is not None
    after = done.canvas
    assert np.array_equal(after.rgba, art[top : top + high, left : left + wide])
    if keeps is Keeps.WIDTH:
        assert after.size_px[0] * after.mm_per_px == pytest.approx(260 * MM_PER_PX)
    elif keeps is Keeps.HEIGHT:
        assert after.size_px[1] * after.mm_per_px == pytest.approx(250 * MM_PER_PX)
    else:
        assert after.mm_per_px == MM_PER_PX
    box = measured(after).ink_box
    assert box is not None
    assert (box.width_mm, box.height_mm) == pytest.approx([v * after.mm_per_px for v in after.size_px])


@few
@given(dots=st.lists(st.tuples(st.integers(10, 220), st.sampled_from([1, 2, 3, 4])), min_size=1, max_size=8))
def test_specks_go_and_all_other_ink_stays(dots: list[tuple[int, int]]) -> None:
    """No dot under the limit is left; the art keeps every pixel; nothing is inked that was not."""
    art = drawn(240, 240, [(60, 60, 180, 180)])
    dotted = np.maximum(art, drawn(240, 240, [(x, 10.0, x + d, 10.0 + d) for x, d in dots]))
    for before in (canvas(dotted), canvas(on_ground(dotted))):
        done = specks.mend(before, WISHES)
        assert done is not None
        assert measured(done.canvas).islands == ()
        assert np.array_equal(done.canvas.rgba[50:], before.rgba[50:])
        assert (done.canvas.cover() <= before.cover()).all()


def test_small_letters_are_no_specks() -> None:
    """A thin stroke of 1.1 mm, too small to hold, is told by the check, but may be a letter: it stays."""
    art = drawn(160, 120, [(110, 30, 113, 33)], [(40, 30, 42, 43), (70, 60, 90, 100)])
    before = canvas(art)
    assert len(measured(before).islands) == 2
    done = specks.mend(before, WISHES)
    assert done is not None
    assert np.array_equal(done.canvas.rgba[:, :105], art[:, :105])
    assert done.canvas.cover()[25:40, 105:120].max() == 0
    assert "1 longer small piece" in done.says
    assert specks.mend(done.canvas, WISHES) is None


def test_a_dot_at_the_limit_stays() -> None:
    """Dots as large as the limit are none of the repair's business."""
    assert specks.mend(canvas(drawn(100, 100, [(40, 40, 48, 48)])), WISHES) is None


@few
@given(radius=st.floats(2.0, 9.0), level=st.integers(40, 220))
def test_hardened_art_has_no_soft_ink(radius: float, level: int) -> None:
    """Nothing truly half transparent is left, nothing is inked that was clear, solid ink stays solid."""
    before = canvas(with_glow(drawn(220, 220, [(60, 60, 160, 160)]), radius))
    done = harden.mend(before, Wishes(Ask(), level))
    assert done is not None
    cover, was = done.canvas.cover(), before.cover()
    assert measured(done.canvas).soft_share == 0
    assert (cover[was == 0] == 0).all()
    assert (cover[was == 255] == 255).all()
    changed = cover != was
    assert (cover[changed & (was > level)] >= 128).all()
    assert (cover[changed & (was < level)] < 128).all()


def test_anti_aliased_rims_are_not_hardened() -> None:
    """Hard edged art with its smooth rim has nothing to harden."""
    assert harden.mend(canvas(ART), WISHES) is None


@few
@given(
    ground=st.sampled_from([(255, 255, 255), (0, 0, 0), (30, 90, 160)]), x=inside, size=st.integers(30, 55)
)
def test_a_plain_ground_goes_and_the_rim_is_unmixed(ground: tuple[int, int, int], x: int, size: int) -> None:
    """Coverage comes back to what was drawn, and no trace of the ground stays in the rim."""
    art = drawn(300, 260, [(x, 70, x + size, 70 + size)])
    done = background.mend(canvas(on_ground(art, ground)), WISHES)
    assert done is not None
    cover = done.canvas.cover()
    assert np.abs(cover.astype(int) - art[..., 3]).max() <= 16
    clear = cover >= 64
    assert np.abs(done.canvas.rgba[clear][:, :3].astype(int) - art[clear][:, :3]).max() <= 40
    assert measured(done.canvas).background is None


def test_ground_inside_the_art_stays_unless_asked() -> None:
    """The white of an eye is no background: only asked for does it go."""
    ring = drawn(220, 220, [(40, 40, 180, 180)])
    hole = drawn(220, 220, [(80, 80, 140, 140)])
    art = ring.copy()
    art[..., 3] -= np.minimum(ring[..., 3], hole[..., 3])
    before = canvas(on_ground(art))
    left, taken = (background.mend(before, Wishes(Ask(), takes_enclosed=t)) for t in (False, True))
    assert left is not None
    assert taken is not None
    assert left.canvas.rgba[110, 110].tolist() == [255, 255, 255, 255]
    assert taken.canvas.rgba[110, 110, 3] == 0
    assert "one part stays" in left.says


def test_a_box_on_a_clear_canvas_goes() -> None:
    """An opaque white box pasted on a transparent canvas is taken away with its edge."""
    whole = np.zeros((500, 600, 4), np.uint8)
    art = drawn(300, 260, [(80, 60, 220, 200)])
    whole[100:360, 150:450] = on_ground(art)
    assert measured(canvas(whole)).background is not None
    done = background.mend(canvas(whole), WISHES)
    assert done is not None
    expected = np.zeros((500, 600), np.uint8)
    expected[100:360, 150:450] = art[..., 3]
    assert np.abs(done.canvas.cover().astype(int) - expected).max() <= 16


def test_a_photo_without_a_ground_is_left_alone() -> None:
    """What fills its canvas has no background to take away."""
    noise = np.random.default_rng(7).integers(0, 255, (120, 160, 3)).astype(np.uint8)
    whole = np.dstack([noise, np.full((120, 160), 255, np.uint8)])
    assert background.mend(canvas(whole), WISHES) is None


@few
@given(width=st.floats(0.9, 3.2), top=st.floats(60, 90), vertical=st.booleans(), opaque=st.booleans())
def test_thin_lines_grow_to_the_limit(width: float, top: float, vertical: bool, opaque: bool) -> None:
    """A thickened line is measured at the limit or hardly more; ink grows only where it is told."""
    art = drawn(220, 220, [(20, 120, 90, 190)], [(30, top, 190, top + round(width * 4) / 4)])
    art = np.ascontiguousarray(art.transpose(1, 0, 2)) if vertical else art
    before = canvas(on_ground(art) if opaque else art)
    done = thicken.mend(before, WISHES)
    assert done is not None
    after = measured(done.canvas)
    assert after.thin_lines == () or round(after.thin_lines[0].value_mm, 2) >= WISHES.ask.line_mm
    was, cover = inked(before), inked(done.canvas)
    assert (cover.astype(int) >= was.astype(int) - 6).all()
    middle = cover[:, 140] if not vertical else cover[140]
    assert WISHES.ask.line_mm - 0.02 <= float(middle.sum()) / 255 * MM_PER_PX <= WISHES.ask.line_mm + 0.17
    told = np.zeros(cover.shape, bool)
    for place in done.places:
        x, y = round(place.x_mm / MM_PER_PX), round(place.y_mm / MM_PER_PX)
        told[y : y + round(place.height_mm / MM_PER_PX), x : x + round(place.width_mm / MM_PER_PX)] = True
    assert not ((cover.astype(int) > was.astype(int) + 6) & ~told).any()


def test_grown_ink_has_the_colour_of_its_line() -> None:
    """What grows is of the nearest ink's colour, under full and under partial coverage."""
    done = thicken.mend(canvas(drawn(200, 120, [], [(20, 50, 180, 51.5)])), WISHES)
    assert done is not None
    inked = done.canvas.rgba[done.canvas.cover() > 0]
    assert np.abs(inked[:, :3].astype(int) - (200, 30, 40)).max() <= 1


def test_only_other_colours_are_converted() -> None:
    """A press picture and one with a profile are told of; plain sRGB is not."""
    assert "printing press" in (srgb.told(Artwork("JPEG", 1.0, (9, 9), 1, colour="CMYK")) or "")
    assert srgb.told(Artwork("PNG", 1.0, (9, 9), 1, extra={"icc_used": True})) is not None
    assert srgb.told(Artwork("PNG", 1.0, (9, 9), 1)) is None


def test_the_picture_shows_what_goes_and_what_comes() -> None:
    """A removed ground is marked all over, also the part that trimming cuts off; a grown line in green."""
    before = canvas(on_ground(ART))
    cut = background.mend(before, WISHES)
    assert cut is not None
    trimmed = trim.mend(cut.canvas, WISHES)
    assert trimmed is not None
    at = tuple(round(v / MM_PER_PX) for v in (trimmed.places[0].x_mm, trimmed.places[0].y_mm))
    picture = picture_of_changes(before, trimmed.canvas, (at[0], at[1]))
    middle = picture[:220, 240 + 16 : 240 + 16 + 240, :3].astype(int)
    assert np.abs(middle[5, 5] - GONE).max() < 60
    assert np.abs(middle[50, 30] - GONE).max() < 60
    assert np.abs(middle[120, 120] - GONE).max() > 90
    grown = thicken.mend(canvas(ART), WISHES)
    assert grown is not None
    marked = picture_of_changes(canvas(ART), grown.canvas)[:220, 256:496, :3].astype(int)
    assert (np.abs(marked - CAME).max(axis=2) < 60).sum() > 100
