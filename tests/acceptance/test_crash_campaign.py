"""The promises of the intake, kept through SIGKILL at named steps and at random moments."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from tests.acceptance.campaign import Campaign, as_text
from tests.acceptance.daemons import make_watched

# The long campaign is `python -m tests.bench crash --kills 10000`.
KILLS, ORDERS = 75, 75


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")
@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_no_byte_lost_and_no_order_twice_however_often_the_daemon_dies(
    shop_template: Path, tmp_path: Path, seed: int
) -> None:
    """At every death each settled byte is in the inbox or in originals; each order has one ticket."""
    watched = make_watched(shop_template, tmp_path / "shop")
    try:
        deaths = Campaign(watched, seed=seed * 1000 + 7).run(KILLS, ORDERS)
    finally:
        watched.close()
    assert sum(deaths.values()) == KILLS, as_text(deaths)
    assert len(deaths) > 4, f"the named steps were hardly hit: {as_text(deaths)}"
