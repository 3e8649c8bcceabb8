"""Opaque art is measured against its plain ground by its own inks, and boxes behind art are seen."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from shapely import Point, box, union_all

from intake.facts import Alpha, Ask, InkMeasures
from intake.measure import measure_ink
from tests.intake.measure.truth import shapes
from tests.intake.measure.truth.renderers import render, sheet_for
from tests.intake.measure.truth.scoring import ArrayPixels, Bytes

SEED = 20261125
MM = 25.4 / 300
WHITE, NAVY = (255, 255, 255), (20, 30, 90)
INKS = [(0, 0, 0), (220, 30, 30), (20, 40, 120), (128, 128, 128), (255, 190, 200), (250, 230, 20)]


def on_ground(cover: Bytes, ink: tuple[int, ...], ground: tuple[int, ...]) -> Bytes:
    """Opaque RGBA of one ink on a ground."""
    share = cover[..., None] / 255.0
    rgb = np.rint(np.array(ground) * (1 - share) + np.array(ink) * share).astype(np.uint8)
    return np.dstack([rgb, np.full(cover.shape, 255, np.uint8)])


def as_jpeg(rgba: Bytes, quality: int) -> Bytes:
    """The same after lossy compression."""
    _, stored = cv2.imencode(".jpg", rgba[..., 2::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    read = cv2.imdecode(stored, cv2.IMREAD_COLOR)
    assert read is not None
    return np.dstack([np.asarray(read, np.uint8)[..., ::-1], rgba[..., 3]])


def measured(rgba: Bytes, lossy: bool = False, ask: Ask | None = None) -> InkMeasures:
    """What an opaque picture without an alpha channel holds."""
    return measure_ink(
        ArrayPixels(rgba, has_alpha=False, lossy=lossy), MM, ask or Ask(line_mm=0.6, gap_mm=0.6)
    )


@pytest.mark.parametrize("ink", INKS)
@pytest.mark.parametrize("ground", [WHITE, NAVY])
def test_lines_on_a_plain_ground_are_right_by_their_own_ink(
    ink: tuple[int, ...], ground: tuple[int, ...]
) -> None:
    """Black, colours, grey and pale inks on white and on navy: within 0.02 mm, and it says against what."""
    rng = np.random.default_rng([SEED, *ink])
    for width in (0.12, 0.3, 0.5):
        case = shapes.placed_at_angle(shapes.rectangle(5.0, width), float(rng.uniform(0, 90)), 0.6)
        cover = render(case.shape, sheet_for(case.width_mm, case.height_mm, 300), "skia")
        found = measured(on_ground(cover, ink, ground))
        assert found.measured_against == "#{:02x}{:02x}{:02x}".format(*ground)
        assert found.background is not None
        assert found.background.is_opaque_canvas
        assert found.thinnest_line is not None
        assert found.thinnest_line.value_mm == pytest.approx(width, abs=0.022)


@pytest.mark.parametrize("quality", [75, 90])
def test_lossy_compression_raises_no_alarm_and_says_its_uncertainty(quality: int) -> None:
    """The ringing of JPEG round thick art is no line and no gap; a real line is told to 0.05 – 0.1 mm."""
    block = union_all([box(2, 2, 9, 6), Point(13, 5).buffer(2.5, 64)])
    cover = render(block, sheet_for(18, 9, 300), "skia")
    for ink in INKS[:4]:
        found = measured(as_jpeg(on_ground(cover, ink, WHITE), quality), lossy=True)
        assert found.thin_lines == found.thin_gaps == found.islands == ()
    line = render(box(2, 2, 9, 2.3), sheet_for(11, 5, 300), "skia")
    found = measured(as_jpeg(on_ground(line, (0, 0, 0), WHITE), quality), lossy=True)
    assert found.thinnest_line is not None
    assert 0.05 <= found.thinnest_line.uncertainty_mm <= 0.1
    assert found.thinnest_line.value_mm == pytest.approx(0.3, abs=found.thinnest_line.uncertainty_mm)


def test_two_inks_that_touch_are_both_covered() -> None:
    """A red bar with a black outline on white is one bar, not two lines with a gap."""
    sheet = sheet_for(9, 4, 300)
    outer, inner = render(box(1, 1, 8, 3), sheet, "skia"), render(box(1.4, 1.4, 7.6, 2.6), sheet, "skia")
    rgba = on_ground(outer, (0, 0, 0), WHITE).astype(float)
    share = inner[..., None] / 255.0
    rgba[..., :3] = rgba[..., :3] * (1 - share) + np.array((210, 20, 20)) * share
    found = measured(np.rint(rgba).astype(np.uint8))
    assert found.thin_lines == found.thin_gaps == ()


def test_ground_enclosed_by_ink_is_asked_about_and_not_judged() -> None:
    """A thin white line inside a black block may be white ink: its share is told, but it is no gap."""
    shape = box(1, 1, 9, 5).difference(box(2, 2.9, 8, 3.1))
    found = measured(on_ground(render(shape, sheet_for(10, 6, 300), "skia"), (0, 0, 0), WHITE))
    assert found.thin_gaps == ()
    assert found.background is not None
    assert found.background.enclosed_share == pytest.approx(6 * 0.2 / 60, rel=0.35)
    assert found.background.share == pytest.approx((60 - 32) / 60, rel=0.03)
    open_slot = box(1, 1, 9, 5).difference(box(2, 2.9, 11, 3.1))
    found = measured(on_ground(render(open_slot, sheet_for(10, 6, 300), "skia"), (0, 0, 0), WHITE))
    assert len(found.thin_gaps) == 1
    assert found.thin_gaps[0].value_mm == pytest.approx(0.2, abs=0.02)


def test_enclosed_ground_is_the_same_however_the_picture_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    """Connected across windows: a ring as high as four of them encloses its inside."""
    cover = render(shapes.annulus(10, 0.8), sheet_for(1, 1, 300), "skia")
    ring = union_all([Point(12, 12).buffer(10, 64)]).difference(Point(12, 12).buffer(9, 64))
    cover = render(ring, sheet_for(24, 24, 300), "skia")
    rgba = on_ground(cover, (0, 0, 0), WHITE)
    whole = measured(rgba).background
    monkeypatch.setattr("intake.measure.engine.rows_a_window", lambda _width, _halo: 64)
    cut = measured(rgba).background
    assert whole is not None
    assert cut is not None
    assert cut.enclosed_share == pytest.approx(whole.enclosed_share)
    assert whole.enclosed_share == pytest.approx(np.pi * 81 / 576, rel=0.03)


def test_a_white_box_behind_a_logo_on_a_clear_canvas_is_seen() -> None:
    """Colour, place and share of a plain rectangle behind the art, in an otherwise clear canvas."""
    sheet = sheet_for(20, 12, 300)
    rgba = on_ground(render(Point(10, 6).buffer(2), sheet, "skia"), (200, 30, 40), WHITE)
    rgba[..., 3] = render(box(3, 2, 17, 10), sheet, "skia")
    found = measure_ink(ArrayPixels(rgba), MM, Ask())
    assert found.background is not None
    assert not found.background.is_opaque_canvas
    assert found.background.colour == "#ffffff"
    assert found.background.share == pytest.approx(14 * 8 / 240, rel=0.05)
    place = found.background.places[0]
    assert (place.x_mm, place.y_mm) == pytest.approx((3, 2), abs=0.1)
    assert (place.width_mm, place.height_mm) == pytest.approx((14, 8), abs=0.15)
    assert found.measured_against == "alpha"


@pytest.mark.parametrize("kind", ["bar", "disc"])
def test_a_plain_shape_is_no_background_box(kind: str) -> None:
    """A rectangle of one colour is the art itself; a disc with art on it is no box."""
    sheet = sheet_for(20, 12, 300)
    if kind == "bar":
        rgba = np.zeros((sheet.height_px, sheet.width_px, 4), np.uint8)
        rgba[..., 3] = render(box(3, 2, 17, 10), sheet, "skia")
    else:
        rgba = on_ground(render(box(8, 5, 12, 7), sheet, "skia"), (200, 30, 40), WHITE)
        rgba[..., 3] = render(Point(10, 6).buffer(5), sheet, "skia")
    assert measure_ink(ArrayPixels(rgba), MM, Ask()).background is None


def test_the_picture_is_read_no_more_often_than_needed() -> None:
    """Transparent art is read once; so is a small opaque picture, which is kept for its second look."""
    sheet = sheet_for(10, 6, 300)
    cover = render(box(2, 2, 8, 4), sheet, "skia")
    clear = np.zeros((*cover.shape, 4), np.uint8)
    clear[..., 3] = cover
    for rgba, has_alpha in ((clear, True), (on_ground(cover, (0, 0, 0), WHITE), False)):
        pixels = ArrayPixels(rgba, has_alpha=has_alpha)
        measure_ink(pixels, MM, Ask())
        assert pixels.passes == 1


def test_a_picture_that_turns_clear_late_is_measured_by_its_alpha() -> None:
    """Opaque rows above, clear rows below: what was read as opaque counts as ink."""
    rgba = np.full((700, 200, 4), 255, np.uint8)
    rgba[..., :3] = 40
    rgba[600:, :, 3] = 0
    found = measure_ink(ArrayPixels(rgba), 0.1, Ask())
    assert found.alpha is Alpha.HARD
    assert found.ink_area_mm2 == pytest.approx(60.0 * 20.0)
