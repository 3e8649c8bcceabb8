"""The long soak: 20,000 orders through one daemon process, its memory and open files measured."""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from intake.shop import make_shop
from tests.acceptance.daemons import make_watched
from tests.acceptance.soak import Soak
from tests.bench.machine import describe_machine


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench soak [--orders 20000]`."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench soak")
    asked.add_argument("--orders", type=int, default=20_000)
    options = asked.parse_args(argv)
    sys.stdout.write(describe_machine())
    with tempfile.TemporaryDirectory() as folder:
        template = Path(folder) / "template"
        make_shop(template)
        watched = make_watched(template, Path(folder) / "shop")
        soak = Soak(watched)
        try:
            soak.run(options.orders)
            sys.stdout.write("".join(f"{line}\n" for line in soak.as_lines()))
        finally:
            watched.close()
            for sample in soak.samples[:: max(1, len(soak.samples) // 20)]:
                sys.stdout.write(f"{sample}\n")
