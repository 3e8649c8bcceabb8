"""Counts tell what printing takes: a ridge regression as in the books, and right in simulated shops."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.bench.cost import errors_after
from tickets.cost.calibrating import Period, Takes, fit

SETTINGS = Takes(18.0, 2.5)


def test_exact_counts_of_different_months_give_the_figures_themselves() -> None:
    """Without noise to speak of, and months that differ, the shop's own k and p come out."""
    months = [Period(30.4, a, h, 25 * a + 8 * h) for a, h in ((400, 40), (600, 180), (900, 20), (300, 160))]
    found = fit(months * 6, SETTINGS, 0.01)
    assert found is not None
    assert found.takes.k == pytest.approx(25, rel=0.02)
    assert found.takes.p == pytest.approx(8, rel=0.15)
    assert found.months == pytest.approx(24, rel=0.01)


def test_ridge_is_that_of_the_closed_form() -> None:
    """Against numpy's least squares on the data with a row for each prior (ridge as made-up observations).

    The method is the textbook one, from memory: minimise the weighted squares and the priors' together.
    """
    months = [Period(30, 500, 50, 9000), Period(30, 700, 64, 15000), Period(30, 300, 40, 5600)]
    found = fit(months, SETTINGS, 300)
    assert found is not None
    x = np.array([[m.driver, m.other] for m in months])
    y = np.array([m.used for m in months])
    expected = x @ np.array([18.0, 2.5])
    covariance = np.diag((0.03 * np.maximum(expected, y)) ** 2 + 2 * 300.0**2)
    for at in (0, 1):
        covariance[at, at + 1] = covariance[at + 1, at] = -(300.0**2)
    root = np.linalg.inv(np.linalg.cholesky(covariance))
    rows = np.vstack([root @ x, np.diag([1 / 9, 1 / 2.5])])
    wanted = np.concatenate([root @ y, [18 / 9, 2.5 / 2.5]])
    solved = np.linalg.lstsq(rows, wanted, rcond=None)[0]
    assert (found.takes.k, found.takes.p) == pytest.approx(tuple(solved), rel=1e-6)


def test_nothing_printed_tells_nothing() -> None:
    """Two counts with no printing between leave the settings as they are."""
    assert fit([], SETTINGS, 300) is None
    assert fit([Period(30, 0, 0, 100)], SETTINGS, 300) is None


periods = st.lists(
    st.builds(Period, st.floats(1, 60), st.floats(0, 5000), st.floats(0, 500), st.floats(-1e3, 1e5)),
    min_size=1,
    max_size=12,
)


@given(periods, st.floats(1, 1000))
def test_figures_are_never_less_than_nothing(counted: list[Period], off: float) -> None:
    """However odd the counts, no ink flows back into the bottle, and the answer is finite."""
    found = fit(counted, SETTINGS, off)
    if found is not None:
        assert 0 <= found.takes.k < 1e9
        assert 0 <= found.takes.p < 1e9
        assert 0 <= found.error_share < 1e6


def test_more_months_are_surer() -> None:
    """The error bar narrows with every month of the same kind."""
    month = Period(30.4, 600, 60, 12_000)
    bars = [found.error_share for n in (1, 3, 12) if (found := fit([month] * n, SETTINGS, 300))]
    assert bars == sorted(bars, reverse=True)
    assert bars[-1] < 0.03


def test_next_months_white_is_known_within_five_per_cent_after_three() -> None:
    """In simulated shops: nine of ten within 6 % after three counted months, half of them within 3 %."""
    errors, inside = errors_after(3, shops=150, dice=random.Random(2026))
    assert float(np.quantile(errors, 0.5)) <= 0.03
    assert float(np.quantile(errors, 0.9)) <= 0.06
    assert inside > 0.8  # the error bar that stands beside the price holds nine of ten
