"""Ripples that JPEG leaves beside edges are no ink; what it may have moved is told with the width."""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image

from intake.facts import Ask, InkMeasures
from intake.measure import measure_ink
from intake.measure.ringing import settled
from tests.intake.measure.truth import shapes, silent
from tests.intake.measure.truth.scoring import ArrayPixels, Bytes, draw
from tests.intake.measure.truth.shapes import Case, Rng

MM = 25.4 / 300
INKS = {"black": (0, 0, 0), "navy": (20, 30, 90), "red": (200, 20, 30), "pink": (240, 170, 190)}
OFF_WHITE = (250, 246, 235)


def measured(case: Case, ink: tuple[int, int, int], quality: int) -> InkMeasures:
    """The case drawn on off-white, stored as JPEG with halved colour, and measured."""
    share = draw(case, "skia", 300, True)[0][..., None] / 255.0
    rgb = np.rint(share * np.array(ink) + (1 - share) * np.array(OFF_WHITE)).astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(rgb).save(file, "JPEG", quality=quality, subsampling=2)
    read = np.asarray(Image.open(io.BytesIO(file.getvalue())).convert("RGBA"))
    ask = Ask(line_mm=min(case.limit_mm, 0.5), gap_mm=min(case.limit_mm, 0.5))
    return measure_ink(ArrayPixels(read, has_alpha=False, lossy=True), MM, ask)


@pytest.mark.parametrize("quality", [75, 90])
@pytest.mark.parametrize("make", [silent.solid, silent.star, silent.blob], ids=lambda f: f.__name__)
def test_ripples_beside_edges_raise_no_alarm(make: Callable[[Rng], Case], quality: int) -> None:
    """A solid, a star, a blob as JPEG: nothing thin, no dots."""
    rng = np.random.default_rng(21)
    for ink in INKS.values():
        found = measured(make(rng), ink, quality)
        assert (found.thin_lines, found.thin_gaps, found.island_count) == ((), (), 0)


@pytest.mark.parametrize("quality", [60, 75, 90])
def test_a_line_in_a_jpeg_is_right_within_what_is_told(quality: int) -> None:
    """Lines from 0.2 mm in four inks: the error stays below the uncertainty beside the value."""
    rng = np.random.default_rng(22)
    for ink in INKS.values():
        width = float(rng.uniform(0.2, 0.45))
        case = shapes.placed(shapes.rectangle(7, width), rng, family="bar", limit_mm=0.5, line_mm=width)
        line = measured(case, ink, quality).thinnest_line
        assert line is not None
        assert abs(line.value_mm - width) <= line.uncertainty_mm
        assert line.uncertainty_mm >= 0.09


@pytest.mark.parametrize("rows", [1, 3, 64])
def test_settling_does_not_depend_on_the_bands(rows: int) -> None:
    """However few rows come at a time, the same pixels are settled."""
    cover: Bytes = np.random.default_rng(3).integers(0, 256, (40, 50)).astype(np.uint8)
    whole = np.concatenate(list(settled([cover])))
    cut = np.concatenate(list(settled(cover[y : y + rows] for y in range(0, 40, rows))))
    np.testing.assert_array_equal(cut, whole)
