"""Pieces of a small shop for the tests of the film: jobs of boxes and outlines, and rules to lay them by."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import strategies as st

from tickets.film.model import Job, Rules, Shape

MONDAY = datetime(2026, 11, 30, 17, tzinfo=UTC)
ROLL = Rules(printable_mm=590, gap_mm=8, edge_mm=10, run_mm=10_000)


def box(width_mm: float, height_mm: float) -> Shape:
    """A plain rectangle."""
    return Shape(width_mm, height_mm)


def disc(across_mm: float, corners: int = 24) -> Shape:
    """A many-cornered disc."""
    half = across_mm / 2
    turn = 2 * math.pi / corners
    ring = tuple((half + half * math.cos(i * turn), half + half * math.sin(i * turn)) for i in range(corners))
    return Shape(across_mm, across_mm, (ring,))


def ell(width_mm: float, height_mm: float, stem: float = 0.4) -> Shape:
    """An L: a stem at the left and a foot along the bottom, each `stem` of the box."""
    stem_mm, foot_mm = width_mm * stem, height_mm * (1 - stem)
    ring = (
        (0, 0),
        (stem_mm, 0),
        (stem_mm, foot_mm),
        (width_mm, foot_mm),
        (width_mm, height_mm),
        (0, height_mm),
    )
    return Shape(width_mm, height_mm, (ring,))


def job(code: str, quantity: int, shape: Shape, days: int = 0, **more: Any) -> Job:
    """A job that is due so many days after Monday."""
    due_at = more.pop("due_at", MONDAY + timedelta(days=days))
    return Job(code, f"order of {code}", quantity, shape, more.pop("film", "hot peel"), due_at, **more)


def shapes() -> st.SearchStrategy[Shape]:
    """Boxes, discs and Ls of sizes that shops print, in tenths of a millimetre."""
    side = st.integers(150, 4200).map(lambda tenths: tenths / 10)
    round_ones = st.integers(200, 3000).map(lambda tenths: disc(tenths / 10))
    return st.one_of(st.builds(box, side, side), round_ones, st.builds(ell, side, side))


@st.composite
def shop_jobs(draw: st.DrawFn, most: int = 6) -> list[Job]:
    """A few jobs of few pieces, some turned never, some in a hurry, some with spares."""
    return [
        job(
            f"J{number}",
            draw(st.integers(1, 25)),
            draw(shapes()),
            draw(st.integers(0, 3)),
            rush=draw(st.booleans()),
            may_turn=draw(st.booleans()),
            spares=draw(st.integers(0, 3)),
            film=draw(st.sampled_from(("hot peel", "cold peel"))),
        )
        for number in range(draw(st.integers(1, most)))
    ]
