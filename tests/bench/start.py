"""How long `filmdocket where` takes to start and answer, against the bare import of its libraries."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from intake.shop import make_shop
from tests.bench.machine import describe_machine

BARE = ("-c", "import sqlmodel, typer")
WHERE = ("-m", "intake.cli", "where", "otter", "bank")
STAGES = (
    BARE,
    ("-c", "import sqlmodel, typer, config.settings"),
    ("-c", "import sqlmodel, typer, tickets.models"),
    ("-c", "import sqlmodel, typer, tickets.store"),
    ("-c", "import sqlmodel, typer, tickets.lookup"),
    ("-c", "import sqlmodel, typer, intake.shop"),
    ("-c", "import intake.cli"),
    WHERE,
)


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench start [--times 15]`: prints a Markdown table."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench start")
    asked.add_argument("--times", type=int, default=15)
    times = asked.parse_args(argv).times
    tell(describe_machine())
    tell("| started | wall s | processor s | × bare |\n| --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        make_shop(Path(folder))
        bare = None
        for stage in STAGES:
            wall, processor = fastest(stage, folder, times)
            bare = bare or processor
            tell(f"| `python {' '.join(stage)}` | {wall:.3f} | {processor:.3f} | {processor / bare:.2f} |")


def fastest(arguments: Sequence[str], shop: str, times: int) -> tuple[float, float]:
    """The least wall and processor time in seconds of so many starts: what others do in between only adds."""
    walls, processors = [], []
    environment = {**os.environ, "FILMDOCKET_SHOP": shop}
    for _ in range(times):
        used, start = children_seconds(), time.perf_counter()
        subprocess.run([sys.executable, *arguments], env=environment, check=True, stdout=subprocess.DEVNULL)
        walls.append(time.perf_counter() - start)
        processors.append(children_seconds() - used or walls[-1])
    return min(walls), min(processors)


def children_seconds() -> float:
    """Processor time of the processes that this one started and that ended; 0 where it isn't told."""
    spent = os.times()
    return spent.children_user + spent.children_system


def tell(line: str) -> None:
    """Print at once, for those who watch."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()
