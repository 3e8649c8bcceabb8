"""Many thousand made-up requests to the JSON twins, each held against their description (schemathesis)."""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from tests.web.shops import make_template, open_web_shop
from tests.web.twins import explored


def run(argv: Sequence[str]) -> None:
    """Explore one shop; raises what is found, prints how often each status was answered."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench openapi", description=__doc__)
    parser.add_argument("--examples", type=int, default=300, help="of each twin, fitting ones and others")
    parser.add_argument("--number", type=int, default=1, help="another number tries other requests")
    asked = parser.parse_args(argv)
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        template = make_template(Path(folder) / "template")
        for shop in open_web_shop(template, Path(folder) / "shop"):
            counts = explored(shop, asked.examples, asked.number).counts
    for label, of in counts.items():
        sys.stdout.write(f"{label:32} {'  '.join(f'{s}: {n}' for s, n in sorted(of.items()))}\n")
    total = sum(sum(of.values()) for of in counts.values())
    sys.stdout.write(f"{total} requests in {time.monotonic() - begun:.0f} s, no finding\n")
