"""Serial shipping container codes: check digits as GS1 publishes them, and numbers never given twice."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from tests.books import Shopfloor, order_draft
from tickets.problems import ShopProblem
from tickets.requests import ParcelChange
from tickets.sscc import check_digit, is_sscc, make_sscc

# The first stands in the GS1 General Specifications (from memory), the second in the handbook of a barcode
# writer in PostScript (bwipp/postscriptbarcode, wiki page SSCC-18), the third is a GS1 example (second-hand).
PUBLISHED = ("106141412345678908", "095287654321012346", "376104250021234569")


@pytest.mark.parametrize("code", PUBLISHED)
def test_check_digits_are_those_that_are_published(code: str) -> None:
    """GS1 mod 10 over seventeen digits."""
    assert check_digit(code[:-1]) == code[-1]
    assert is_sscc(code)


def test_a_code_is_put_together_from_its_parts() -> None:
    """Extension digit 1, prefix 0614141, serial number 234567890: the published example."""
    assert make_sscc(1, "0614141", 234567890) == PUBLISHED[0]
    assert make_sscc(0, "0614141", 7)[:-1] == "00614141000000007"


@given(st.from_regex(r"[0-9]{17}", fullmatch=True), st.integers(0, 16), st.integers(1, 9))
def test_every_wrong_digit_is_noticed(body: str, at: int, more: int) -> None:
    """One slip in any place; and another library agrees on the check digit (GTINs have the same)."""
    code = body + check_digit(body)
    slip = code[:at] + str((int(code[at]) + more) % 10) + code[at + 1 :]
    assert is_sscc(code)
    assert not is_sscc(slip)
    assert check_digit(body[:13]) == ean.calc_check_digit(body[:13])


@pytest.mark.parametrize("text", ["", "1" * 17, "1" * 19, "10614141234567890x", "١" * 18])
def test_what_is_no_code_is_told(text: str) -> None:
    """Too short, too long, letters, digits of other scripts."""
    assert not is_sscc(text)


def test_a_shop_with_a_prefix_never_gives_a_number_twice(floor: Shopfloor) -> None:
    """Whatever becomes of a parcel; another extension digit counts anew, a first number can only raise."""
    packing = floor.settings.packing.model_copy(update={"gs1_company_prefix": "0614141", "sscc_first": 41})
    shop = floor.with_settings(packing=packing)
    shop.accept(order_draft("OB-1"))
    add = shop.ledger.add_parcel
    assert f"as SSCC {make_sscc(0, '0614141', 41)}" in add("OB-1", ParcelChange(1000)).says
    shop.ledger.remove_parcel("OB-1", 1)
    assert make_sscc(0, "0614141", 42) in add("OB-1", ParcelChange(1000)).says
    other = shop.with_settings(packing=packing.model_copy(update={"sscc_extension": 3, "sscc_first": 0}))
    assert make_sscc(3, "0614141", 0) in other.ledger.add_parcel("OB-1", ParcelChange()).says
    lower = shop.with_settings(packing=packing.model_copy(update={"sscc_first": 0}))
    assert make_sscc(0, "0614141", 43) in lower.ledger.add_parcel("OB-1", ParcelChange()).says


def test_numbers_that_are_used_up_are_refused_and_nothing_is_booked(floor: Shopfloor) -> None:
    """A prefix of twelve digits has ten thousand of them for each extension digit."""
    packing = floor.settings.packing.model_copy(
        update={"gs1_company_prefix": "061414100001", "sscc_first": 9999}
    )
    shop = floor.with_settings(packing=packing)
    shop.accept(order_draft("OB-1"))
    assert shop.ledger.add_parcel("OB-1", ParcelChange()).number == 1
    with pytest.raises(ShopProblem) as refused:
        shop.ledger.add_parcel("OB-1", ParcelChange())
    assert refused.value.slug == "sscc-used-up"
    assert not [e for e in shop.events() if e.payload.get("parcel") == 2]
