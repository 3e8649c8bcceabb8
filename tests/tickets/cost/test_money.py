"""Money is whole minor units of a known currency, shared out to the last, and written alike everywhere."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from config.currencies import MINOR_DIGITS
from config.settings_cost import Money
from tickets.cost.money import each_text, from_minor, money_text, share_out, to_minor

# ISO 4217's minor units of some currencies, from memory of the standard's list one.
ISO_4217 = {
    "GBP": 2,
    "EUR": 2,
    "USD": 2,
    "CHF": 2,
    "JPY": 0,
    "KRW": 0,
    "ISK": 0,
    "KWD": 3,
    "BHD": 3,
    "TND": 3,
}


@pytest.mark.parametrize(("currency", "digits"), ISO_4217.items())
def test_minor_units_are_those_of_the_standard(currency: str, digits: int) -> None:
    """Yen have none, dinars of Kuwait three."""
    assert MINOR_DIGITS[currency] == digits


def test_every_currency_is_three_capitals() -> None:
    """A slip in the list is seen."""
    assert all(len(c) == 3 and c.isascii() and c.isupper() for c in MINOR_DIGITS)
    assert len(MINOR_DIGITS) > 150


def test_a_currency_that_there_is_not_is_refused() -> None:
    """A slip in `money.currency` is named, not taken."""
    with pytest.raises(ValidationError, match="ISO 4217"):
        Money(currency="GPB")


@pytest.mark.parametrize(
    ("amount", "currency", "minor", "said"),
    [
        ("12.345", "GBP", 1235, "GBP 12.35"),
        ("12.344", "GBP", 1234, "GBP 12.34"),
        ("1234.5", "JPY", 1235, "JPY 1235"),
        ("1.2345", "KWD", 1235, "KWD 1.235"),
        ("-0.005", "EUR", -1, "EUR -0.01"),
        ("0", "USD", 0, "USD 0.00"),
    ],
)
def test_halves_are_rounded_up_and_written_with_a_point(
    amount: str, currency: str, minor: int, said: str
) -> None:
    """The same text in every language of the machine, with the digits of the currency."""
    assert to_minor(Decimal(amount), currency) == minor
    assert money_text(minor, currency) == said
    assert to_minor(from_minor(minor, currency), currency) == minor


def test_one_piece_may_cost_less_than_a_penny() -> None:
    """A piece is told two digits finer than the minor unit."""
    assert each_text(107, 40, "GBP") == "GBP 0.0268"
    assert each_text(10, 3, "JPY") == "JPY 3.33"


@given(st.integers(0, 10**9), st.lists(st.floats(0, 1e9), min_size=1, max_size=40))
def test_shares_sum_exactly_and_are_less_than_one_unit_off(total: int, weights: list[float]) -> None:
    """Whatever the weights, nothing is lost or made, and each share is its exact part rounded up or down."""
    shares = share_out(total, weights)
    assert sum(shares) == total
    whole = sum(map(Decimal, weights))
    for share, weight in zip(shares, weights, strict=True):
        exact = total * Decimal(weight) / whole if whole else Decimal(total) / len(weights)
        assert abs(share - exact) < 1 + Decimal("1e-9")


def test_nobody_gets_a_share_of_nothing() -> None:
    """Without weights all share alike; without anybody there is nothing to share."""
    assert share_out(7, [0.0, 0.0, 0.0]) == [3, 2, 2]
    assert share_out(7, []) == []
