"""Prices from costs by the shop's own table: breaks, least prices, rush, lines that one can check by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.currencies import MINOR_DIGITS
from config.settings import load_settings
from config.settings_cost import PriceBreak, Quote
from tickets.cost.quoting import Costed, QuoteAnswer, price_items

TABLE = load_settings(None, {}).quote


def table(**changes: object) -> Quote:
    """The shipped table, changed."""
    return TABLE.model_copy(update=changes)


def each(pieces: int, cost: int, rush: bool = False, of: Quote = TABLE, currency: str = "GBP") -> int:
    """What one piece of an item is sold for, in minor units."""
    return price_items([Costed("1 crest.png", pieces, cost)], of, rush, currency)[0][0].each


@pytest.mark.parametrize(
    ("pieces", "factor"), [(1, 4), (9, 4), (10, 3), (49, 3), (50, "2.5"), (249, "2.5"), (250, 2), (9000, 2)]
)
def test_a_break_begins_with_its_first_piece(pieces: int, factor: int | str) -> None:
    """The factor is that of the last break that the item reaches, by the table as it is shipped."""
    assert each(pieces, 50 * pieces) == Decimal(50) * Decimal(factor)


def test_a_price_can_be_checked_by_hand() -> None:
    """Worked by hand: 40 pieces for 10.72 are 0.268 a piece; × 3 = 0.804, so 0.80; × 40 + 5.00 = 37.00."""
    (priced,), made_up = price_items([Costed("1 crest.png", 40, 1072)], TABLE, False, "GBP")
    assert (priced.each, priced.set_up, priced.total, made_up) == (80, 500, 3700, 0)


def test_a_rush_costs_a_quarter_more() -> None:
    """Worked by hand: 0.804 × 1.25 = 1.005, halves up 1.01; the set-up 6.25; 40 × 1.01 + 6.25 = 46.65."""
    (priced,), _ = price_items([Costed("1 crest.png", 40, 1072)], TABLE, True, "GBP")
    assert (priced.each, priced.set_up, priced.total) == (101, 625, 4665)


def test_no_piece_is_sold_under_the_least_price() -> None:
    """A tiny print costs a penny and is sold for 0.40; in a rush for 0.50."""
    assert each(250, 250) == 40
    assert each(250, 250, rush=True) == 50


def test_a_small_order_is_made_up_to_the_least_one() -> None:
    """One piece at 0.40 and 5.00 for its set-up: 9.60 are missing to 15.00, told apart."""
    priced, made_up = price_items([Costed("1 crest.png", 1, 5)], TABLE, False, "GBP")
    answer = QuoteAnswer("OB-1", "GBP", priced, made_up, False)
    assert (made_up, answer.total, answer.cost) == (960, 1500, 5)
    assert answer.as_lines()[:3] == [
        "1 crest.png: 1 × GBP 0.40 + 5.00 set-up = GBP 5.40",
        "made up to the least order: GBP 9.60",
        "OB-1: GBP 15.00 before tax.",
    ]


@pytest.mark.parametrize(
    ("currency", "each_minor", "total"), [("JPY", 150, "600"), ("KWD", 150, "0.600"), ("EUR", 150, "6.00")]
)
def test_prices_are_in_the_currencys_own_digits(currency: str, each_minor: int, total: str) -> None:
    """ISO 4217: yen have no minor unit, Kuwaiti dinars three digits; amounts are decimal strings."""
    free = table(item_set_up=Decimal(0), least_order=Decimal(0), least_piece=Decimal(0))
    priced, made_up = price_items([Costed("1 a.png", 4, 150)], free, False, currency)
    told = QuoteAnswer("OB-1", currency, priced, made_up, False).as_json()
    assert (priced[0].each, told["total"], told["total_minor"]) == (each_minor, total, 600)
    assert told["items"][0]["each"] == f"{Decimal(each_minor).scaleb(-MINOR_DIGITS[currency]):f}"


@given(
    st.lists(st.tuples(st.integers(1, 2000), st.integers(0, 500_000)), min_size=1, max_size=5),
    st.booleans(),
    st.sampled_from(["GBP", "JPY", "KWD"]),
)
def test_the_lines_sum_to_the_total_and_nothing_is_given_away(
    asked: list[tuple[int, int]], rush: bool, currency: str
) -> None:
    """Whole minor units; what is multiplied is what is shown; never under the table's least prices."""
    items = [Costed(f"{n} a.png", pieces, cost) for n, (pieces, cost) in enumerate(asked, 1)]
    priced, made_up = price_items(items, TABLE, rush, currency)
    answer = QuoteAnswer("OB-1", currency, priced, made_up, rush)
    told = answer.as_json()
    lines = [Decimal(i["each"]) * i["pieces"] + Decimal(i["set_up"]) for i in told["items"]]
    assert lines == [Decimal(i["total"]) for i in told["items"]]
    assert sum(lines) + Decimal(told["made_up_to_least"]) == Decimal(told["total"])
    assert Decimal(told["total"]) >= TABLE.least_order
    assert all(Decimal(i["each"]) >= TABLE.least_piece for i in told["items"])


@given(st.integers(1, 5000), st.integers(0, 100_000))
def test_more_cost_is_never_a_lower_price(pieces: int, cost: int) -> None:
    """A minor unit more of cost, or a rush, never makes a piece cheaper."""
    assert each(pieces, cost) <= each(pieces, cost + 1)
    assert each(pieces, cost) <= each(pieces, cost, rush=True)


@pytest.mark.parametrize("pieces", [(2, 10), (1, 10, 10), (1, 20, 10)])
def test_a_table_without_a_beginning_or_an_order_is_refused(pieces: tuple[int, ...]) -> None:
    """Breaks begin at one piece and rise: a piece without a price is found when settings are read."""
    breaks = tuple(PriceBreak(pieces=n, times_cost=Decimal(2)) for n in pieces)
    with pytest.raises(ValueError, match="begin at 1 piece"):
        Quote.model_validate({**TABLE.model_dump(), "breaks": breaks})
