"""Screens, halftones and noise are one finding, cheaply; hatching is not taken for them."""

from __future__ import annotations

import time

import numpy as np
import pytest

from intake.facts import Ask, InkMeasures
from intake.measure import measure_ink
from tests.intake.measure.truth.scoring import Bytes, black_on_clear

MM = 25.4 / 300
SIZE = 1600


def page(kind: str) -> Bytes:
    """A page full of a screen."""
    y, x = np.mgrid[0:SIZE, 0:SIZE]
    if kind == "lines":
        return np.asarray(np.where(y // 2 % 2, 255, 0), np.uint8)
    if kind == "dots":
        level = (np.cos(x * np.pi / 4) + np.cos(y * np.pi / 4)) * 200 + 80
        return np.asarray(np.clip(level, 0, 255), np.uint8)
    return np.random.default_rng(1).choice(np.array([0, 255], np.uint8), (SIZE, SIZE))


def measured(cover: Bytes) -> InkMeasures:
    """At 300 ppi on the shipped limits."""
    return measure_ink(black_on_clear(cover), MM, Ask())


@pytest.mark.parametrize("kind", ["lines", "dots", "noise"])
def test_a_screen_is_told_as_one_finding(kind: str) -> None:
    """The whole page is screened; it is measured on a sample, and no list is longer than asked."""
    found = measured(page(kind))
    assert found.screened
    assert sum(p.width_mm * p.height_mm for p in found.screened_places) > 0.5 * (SIZE * MM) ** 2
    assert len(found.thin_lines) <= 40
    assert len(found.thin_gaps) <= 40
    assert len(found.islands) <= 40


def test_a_line_screen_still_tells_its_lines() -> None:
    """Two-pixel lines: the sample holds their width."""
    line = measured(page("lines")).thinnest_line
    assert line is not None
    assert line.value_mm == pytest.approx(2 * MM, abs=0.03)


def test_all_of_a_fine_screen_loses_its_white() -> None:
    """Lines of 0.17 mm hold no white that is pulled in by 0.15 mm: a sample tells it of the whole."""
    found = measured(page("lines"))
    assert found.lost_white_area_mm2 == pytest.approx(found.ink_area_mm2, rel=0.01)
    assert found.white_area_mm2 < 0.01 * found.ink_area_mm2


def test_a_hostile_page_costs_not_much_more_than_an_ordinary_one() -> None:
    """Processor time on a page of noise stays within a small multiple of that on one plain block."""
    plain = np.zeros((SIZE, SIZE), np.uint8)
    plain[100:-100, 100:-100] = 255
    spent = []
    for cover in (plain, page("noise")):
        started = time.process_time()
        measured(cover)
        spent.append(time.process_time() - started)
    assert spent[1] < 2.0 + 30 * spent[0]


def test_a_patch_of_hatching_is_measured_and_not_called_a_screen() -> None:
    """Hairlines 0.2 mm wide at 0.7 mm on a part of the page are lines, each at its width."""
    cover = np.zeros((SIZE, SIZE), np.uint8)
    rows = np.arange(400) * MM
    cover[200:600, 200:600] = np.where(rows % 0.7 < 0.2, 255, 0)[:, None]
    found = measured(cover)
    assert not found.screened
    assert found.thinnest_line is not None
    assert found.thinnest_line.value_mm == pytest.approx(0.2, abs=0.07)
    assert len(found.thin_lines) >= 15
