"""The long crash campaign: thousands of kills of the real daemon, every byte and every ticket audited."""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from intake.shop import make_shop
from tests.acceptance.campaign import Campaign, as_text
from tests.acceptance.daemons import make_watched
from tests.bench.machine import describe_machine


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench crash [--kills 10000] [--seed 1]`: fails at the first broken promise."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench crash")
    asked.add_argument("--kills", type=int, default=10_000)
    asked.add_argument("--seed", type=int, default=1)
    options = asked.parse_args(argv)
    sys.stdout.write(describe_machine())
    with tempfile.TemporaryDirectory() as folder:
        template = Path(folder) / "template"
        make_shop(template)
        watched = make_watched(template, Path(folder) / "shop")
        try:
            deaths = Campaign(watched, seed=options.seed).run(options.kills, options.kills)
        finally:
            watched.close()
    sys.stdout.write(f"{sum(deaths.values())} kills, every promise kept. What they hit: {as_text(deaths)}\n")
