"""A thousand orders through one daemon: memory flat, open files constant, the books of a stated size."""

from __future__ import annotations

import pytest

from tests.acceptance.daemons import Watched
from tests.acceptance.soak import Soak, papers_below

ORDERS = 1000
MOST_KB_AN_ORDER = 10.0  # a leak of an order's document and artwork would be at least this
MOST_BYTES_AN_ORDER = 20_000.0


@pytest.mark.slow
def test_a_thousand_orders_leave_the_daemon_as_it_was(watched: Watched) -> None:
    """Months of a small shop's orders in a few minutes; 20,000 with `python -m tests.bench soak`."""
    soak = Soak(watched)
    soak.run(ORDERS)
    told = "\n".join(soak.as_lines())
    assert papers_below(watched.folder) == ORDERS
    assert soak.slope_kb_an_order < MOST_KB_AN_ORDER, told
    fewest, most = soak.open_files
    assert most - fewest <= 10, told
    assert soak.bytes_an_order < MOST_BYTES_AN_ORDER, told
