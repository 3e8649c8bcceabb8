"""What is measured does not depend on how the picture lies, or how it was cut into windows."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.facts import Ask, InkMeasures
from intake.measure import engine, measure_ink
from tests.intake.measure.truth import shapes
from tests.intake.measure.truth.renderers import render, sheet_for
from tests.intake.measure.truth.scoring import Bytes, black_on_clear

MM = 25.4 / 300
SLOW = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))


def a_page(seed: int, width_mm: float = 40.0, height_mm: float = 30.0) -> Bytes:
    """A page with shapes of all kinds, drawn by Skia, some cut by the edge and some overlapping."""
    rng = np.random.default_rng(seed)
    sheet = sheet_for(width_mm, height_mm, 300)
    page = np.zeros((sheet.height_px, sheet.width_px), np.uint8)
    makers = (
        shapes.bar,
        shapes.arc,
        shapes.whisker,
        shapes.neck,
        shapes.dots,
        shapes.slot,
        shapes.v_neck,
        shapes.grid,
    )
    for make in makers:
        case = make(rng)
        cover = render(case.shape, sheet_for(case.width_mm, case.height_mm, 300), "skia")
        y, x = (int(rng.integers(-9, n - 20)) for n in page.shape)
        part = cover[max(-y, 0) :, max(-x, 0) :]
        here = page[max(y, 0) :, max(x, 0) :][: part.shape[0], : part.shape[1]]
        np.maximum(here, part[: here.shape[0], : here.shape[1]], out=here)
    return page


def numbers(value: object) -> list[object]:
    """All values in it, floats rounded to a millionth."""
    if is_dataclass(value):
        return [n for f in fields(value) for n in numbers(getattr(value, f.name))]
    if isinstance(value, (list, tuple)):
        return [n for v in value for n in numbers(v)]
    return [round(value, 6) if isinstance(value, float) else value]


@pytest.mark.parametrize("rows", [64, 128, 192])
@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_windows_tell_what_the_whole_picture_tells(
    seed: int, rows: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every number of the answer is the same however few rows are looked at at a time."""
    page = black_on_clear(a_page(seed))
    ask = Ask(line_mm=0.5, gap_mm=0.6)
    monkeypatch.setattr(engine, "rows_a_window", lambda _width, _halo: 4096)
    whole = measure_ink(page, MM, ask)
    monkeypatch.setattr(engine, "rows_a_window", lambda _width, _halo: rows)
    assert numbers(measure_ink(page, MM, ask)) == numbers(whole)


def widths(found: InkMeasures) -> tuple[float | None, float | None]:
    """The thinnest line and gap in mm."""
    line, gap = found.thinnest_line, found.thinnest_gap
    return (line.value_mm if line else None, gap.value_mm if gap else None)


@SLOW
@given(seed=st.integers(0, 10_000), turns=st.integers(0, 3), is_flipped=st.booleans())
def test_a_turned_or_mirrored_picture_has_the_same_widths(seed: int, turns: int, is_flipped: bool) -> None:
    """Quarter turns and mirroring change no width by more than a twentieth of a pixel's uncertainty."""
    rng = np.random.default_rng(seed)
    case = (shapes.bar, shapes.arc, shapes.slot, shapes.ring_gap)[seed % 4](rng)
    cover = render(case.shape, sheet_for(case.width_mm, case.height_mm, 300), "skia")
    turned = np.rot90(cover, turns)
    turned = np.ascontiguousarray(turned[:, ::-1] if is_flipped else turned)
    ask = Ask(line_mm=case.limit_mm, gap_mm=case.limit_mm)
    first, second = (widths(measure_ink(black_on_clear(c), MM, ask)) for c in (cover, turned))
    for a, b in zip(first, second, strict=True):
        assert (a is None) == (b is None)
        assert a is None or a == pytest.approx(b, abs=0.03)  # a neck is a point: read to about so much


@SLOW
@given(seed=st.integers(0, 10_000), down=st.integers(0, 70), right=st.integers(0, 70))
def test_clear_rows_and_columns_around_change_nothing(seed: int, down: int, right: int) -> None:
    """The same art elsewhere on a larger canvas has the same widths, areas and islands."""
    rng = np.random.default_rng(seed)
    case = (shapes.whisker, shapes.dots, shapes.neck, shapes.hatch)[seed % 4](rng)
    cover = render(case.shape, sheet_for(case.width_mm, case.height_mm, 300), "skia")
    larger = np.pad(cover, ((down, 9), (right, 5)))
    ask = Ask(line_mm=case.limit_mm, gap_mm=case.limit_mm)
    first, second = (measure_ink(black_on_clear(c), MM, ask) for c in (cover, larger))
    for a, b in zip(widths(first), widths(second), strict=True):
        assert (a is None) == (b is None)
        assert a is None or a == pytest.approx(b, abs=0.03)  # a neck is a point: read to about so much
    assert second.ink_area_mm2 == pytest.approx(first.ink_area_mm2)
    # White of a hair's breadth stays or goes with the art's place on the grid of pixels.
    assert second.white_area_mm2 == pytest.approx(first.white_area_mm2, rel=0.02, abs=0.05)
    assert second.island_count == first.island_count


@SLOW
@given(width=st.floats(0.12, 0.9), more=st.floats(0.05, 0.5), angle=st.floats(0, 90))
def test_a_wider_line_never_reads_thinner(width: float, more: float, angle: float) -> None:
    """Widening a line widens what is told of it."""
    read = []
    for w in (width, width + more):
        case = shapes.placed_at_angle(shapes.rectangle(4 * w + 2, w), angle, limit_mm=1.1 * (width + more))
        cover = render(case.shape, sheet_for(case.width_mm, case.height_mm, 300), "skia")
        line = measure_ink(black_on_clear(cover), MM, Ask(line_mm=case.limit_mm)).thinnest_line
        assert line is not None
        read.append(line.value_mm)
    assert read[0] < read[1]
