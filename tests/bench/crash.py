"""The long crash campaign: thousands of kills of the real daemon, every byte and every ticket audited."""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from intake.shop import make_shop
from tests.acceptance.campaign import Campaign, as_text
from tests.acceptance.daemons import make_watched
from tests.bench.machine import describe_machine

A_SHOP = 100  # kills in one shop: an audit looks at everything that is there


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench crash [--kills 10000] [--seed 1]`: fails at the first broken promise."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench crash")
    asked.add_argument("--kills", type=int, default=10_000)
    asked.add_argument("--seed", type=int, default=1)
    options = asked.parse_args(argv)
    sys.stdout.write(describe_machine())
    deaths, begun = Counter[str](), time.monotonic()
    for seed in range(options.seed, options.seed + -(-options.kills // A_SHOP)):
        deaths.update(_one_shop(seed, min(A_SHOP, options.kills - deaths.total())))
        minutes = (time.monotonic() - begun) / 60
        sys.stdout.write(f"shop of seed {seed}: {deaths.total()} kills by now, {minutes:.0f} minutes\n")
        sys.stdout.flush()
    sys.stdout.write(f"{deaths.total()} kills, every promise kept. What they hit: {as_text(deaths)}\n")


def _one_shop(seed: int, kills: int) -> dict[str, int]:
    with tempfile.TemporaryDirectory() as folder:
        template = Path(folder) / "template"
        make_shop(template)
        watched = make_watched(template, Path(folder) / "shop")
        try:
            return Campaign(watched, seed=seed).run(kills, kills)
        finally:
            watched.close()
