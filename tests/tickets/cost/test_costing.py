"""A stretch of film costs what the trade says it does, and its jobs' shares sum to it exactly."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.settings import load_settings
from tickets.cost.costing import Part, add_parts, cost_stretch, hands_cost, price_of, use_of
from tickets.cost.inking import ink_of
from tickets.cost.stretch import (
    Laid,
    Piece,
    Stretch,
    area_with_gap_mm2,
    rows_mm,
    stretch_alone,
    stretch_of_layout,
)
from tickets.film.model import InkUse, Layout, Placement, Shape, Way

COST = load_settings(None, {}).cost
CONSUMED = (Part.FILM, Part.COLOUR, Part.WHITE, Part.POWDER)


def piece(width_mm: float, height_mm: float, share: float = 0.7) -> Piece:
    """A design that inks this share of its box, in the shop's usual colours."""
    measures = {"ink_area_mm2": width_mm * height_mm * share}
    return Piece(Shape(width_mm, height_mm), ink_of(measures, (width_mm, height_mm), COST))


def consumed_pence(width_mm: float, height_mm: float, count: int = 4000) -> float:
    """Film, ink and powder of one of many in rows, in pence."""
    stretch = stretch_alone("", count, piece(width_mm, height_mm), 590, COST)
    prices = price_of(use_of(stretch, COST), COST)
    return float(sum(prices[part] for part in CONSUMED)) * 100 / count


@pytest.mark.parametrize(
    ("width", "height", "pence"), [(80, 70, 2.1), (90, 80, 2.7), (290, 380, 39), (300, 400, 50)]
)
def test_a_print_costs_what_the_trade_reckons(width: float, height: float, pence: float) -> None:
    """The trade's own sums (common practice, no source; prices of the shipped settings, 70 % inked).

    Chest 80 × 70 mm 2.1 p, 90 × 80 mm 2.7 p; back 290 × 380 mm two across 39 p, 300 × 400 mm one across 50 p.
    """
    assert consumed_pence(width, height) == pytest.approx(pence, rel=0.1)  # rows leave the film's edge bare


def test_two_across_costs_a_fifth_less_than_one() -> None:
    """The trade's lever: 291 mm goes two across on 590 mm with 8 mm gaps, 300 mm does not."""
    assert rows_mm(piece(291, 388), 2, 590, 8) == pytest.approx(396)
    assert rows_mm(piece(300, 400), 2, 590, 8) == pytest.approx(616)  # turned: 308 mm each
    assert consumed_pence(291, 388) < 0.85 * consumed_pence(300, 400)


def test_a_run_of_known_figures() -> None:
    """10 m with the shipped settings, reckoned by hand."""
    ink = InkUse(2_000_000, 1_900_000, (1e6, 0.5e6, 0.5e6, 0.4e6))
    stretch = Stretch((Laid("A", 1, 5e6, ink),), 10_000, 400, 10, 20)
    use = use_of(stretch, COST)
    hours = 10.4 / 11
    assert use.machine_hours == pytest.approx(hours)
    assert use.colour_ml == pytest.approx(
        (9 + hours * 0.375, 4.5 + hours * 0.375, 4.5 + hours * 0.375, 3.6 + hours * 0.375)
    )
    assert use.white_ml == pytest.approx(1.9 * 18 + 2.5 * hours)
    assert use.powder_g == pytest.approx(220)
    prices = price_of(use, COST)
    assert prices[Part.FILM] == Decimal("8.32")
    assert float(prices[Part.LABOUR]) == pytest.approx(7.0)
    assert cost_stretch(stretch, COST, "GBP").total == round(float(sum(prices.values())) * 100)


inks = st.builds(
    InkUse,
    st.floats(0, 1e5),
    st.floats(0, 1e5),
    st.tuples(*[st.floats(0, 1e5)] * 4),
)
jobs = st.lists(st.tuples(st.integers(1, 500), st.floats(100, 1e5), inks), min_size=1, max_size=12)


@given(jobs, st.floats(10, 20_000), st.sampled_from(["GBP", "JPY", "KWD"]))
def test_shares_sum_to_the_run_to_the_minor_unit(
    laid: list[tuple[int, float, InkUse]], length_mm: float, currency: str
) -> None:
    """Part by part and job by job, in every currency."""
    named = tuple(Laid(f"T{at}", count, area, ink) for at, (count, area, ink) in enumerate(laid))
    costed = cost_stretch(Stretch(named, length_mm, 400, 10, 5), COST, currency)
    assert add_parts(costed.by_job.values()) == dict(costed.parts)
    assert all(minor >= 0 for parts in costed.by_job.values() for minor in parts.values())
    exact = sum(price_of(costed.use, COST).values())
    assert abs(costed.total - float(exact) * {"GBP": 100, "JPY": 1, "KWD": 1000}[currency]) <= 0.5 + 1e-6


def test_film_is_shared_by_area_with_half_the_gap() -> None:
    """A piece twice as large by its box and gap pays twice the film, whoever shares its row."""
    shapes = {"A": Shape(92, 92), "B": Shape(192, 92)}
    pieces = {code: Piece(shape, InkUse(1, 1)) for code, shape in shapes.items()}
    layout = Layout("hot peel", 590, 5000, (Placement("A", 0, 0), Placement("B", 100, 0)), Way.BOXES)
    costed = cost_stretch(stretch_of_layout(layout, pieces, COST), COST, "GBP")
    assert costed.by_job["B"][Part.FILM] == pytest.approx(2 * costed.by_job["A"][Part.FILM], abs=2)


def test_an_outline_grows_by_half_the_gap() -> None:
    """A disc of radius r takes one of r + half the gap, by Steiner's formula; never over its box."""
    ring = tuple(
        (50 + 50 * math.cos(t / 180 * math.pi), 50 + 50 * math.sin(t / 180 * math.pi)) for t in range(360)
    )
    grown = area_with_gap_mm2(Shape(100, 100, (ring,)), 8)
    assert grown == pytest.approx(math.pi * 54**2, rel=1e-3)
    jagged = tuple((float(x), 100.0 * (x % 2)) for x in range(101))
    assert area_with_gap_mm2(Shape(100, 100, (jagged,)), 8) == 108 * 108


def test_ink_is_taken_from_the_measures_and_else_from_the_usual_shares() -> None:
    """Measured areas count; white falls away on white garments only where the shop says so."""
    measured = ink_of({"ink_area_mm2": 100.0, "white_area_mm2": 90.0, "cmyk": [1, 0, 0, 0.5]}, (20, 10), COST)
    assert measured == InkUse(100, 90, (100, 0, 0, 50))
    usual = ink_of({}, (20, 10), COST, "#ffffff")
    assert usual.inked_mm2 == usual.white_mm2 == pytest.approx(140)
    assert sum(usual.cmyk_mm2) == pytest.approx(140 * 1.2)
    bare = COST.model_copy(update={"white_on_white": False})
    assert ink_of({}, (20, 10), bare, "#ffffff").white_mm2 == 0
    assert ink_of({}, (20, 10), bare, "#10213f").white_mm2 > 0
    assert ink_of({}, (20, 10), bare, "nonsense").white_mm2 > 0


def test_an_hour_of_hands_costs_the_wage() -> None:
    """Station times are a person's seconds."""
    assert hands_cost(3600, COST, "GBP") == 1400
