"""The twins keep to their own description."""

from __future__ import annotations

import pytest

from tests.web.shops import WebShop

pytest.importorskip("schemathesis", reason="the package schemathesis is not installed")

from tests.web.twins import explored


def test_the_twins_keep_to_their_description(web_shop: WebShop) -> None:
    """schemathesis finds nothing: no fault, no other status, type or form, nothing taken amiss."""
    counts = explored(web_shop, examples=6).counts
    assert {label.split()[1].split("/")[2] for label in counts} >= {"scan", "undo", "where", "orders", "line"}
    assert sum(sum(of.values()) for of in counts.values()) > 100
    assert sum(of.get(200, 0) for label, of in counts.items() if label.startswith("POST")) > 0
