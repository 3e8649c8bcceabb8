"""The measuring: accuracy on shapes of known width, speed beside decoding, memory (Markdown tables)."""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Sequence
from pathlib import Path

import cv2

from tests.bench import measure_accuracy, measure_batch, measure_speed
from tests.bench.machine import describe_machine
from tests.bench.measure_accuracy import Plan
from tests.bench.measure_words import say


def run(argv: Sequence[str]) -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench measure", description=__doc__)
    parser.add_argument("--seed", type=int, default=1, help="of the random shapes; tuning used 1")
    parser.add_argument(
        "--cases", type=int, default=120, help="of each family at 300 ppi; a third of it elsewhere"
    )
    parser.add_argument("--times", type=int, default=5, help="each time is the best of so many")
    parser.add_argument("--only", choices=["accuracy", "speed", "batch"], help="one part")
    parser.add_argument("--logos", type=int, default=500, help="files of the batch")
    parser.add_argument("--pages", nargs="*", default=None, help="names of the pages to time")
    asked = parser.parse_args(argv)
    cv2.setNumThreads(1)
    say(f"{describe_machine()}; seed {asked.seed}")
    if asked.only in (None, "accuracy"):
        n = asked.cases
        for plan in (
            Plan(300, True, n, 2 * n),
            Plan(150, True, n // 3, n // 2),
            Plan(600, True, n // 3, n // 2),
            Plan(300, False, n // 2, n // 2),
        ):
            measure_accuracy.report(plan, asked.seed)
        measure_accuracy.report_type(asked.seed, n)
        measure_accuracy.report_drawn(asked.seed, n // 2)
    if asked.only in (None, "batch"):
        with tempfile.TemporaryDirectory() as folder:
            measure_batch.report(Path(folder), asked.logos)
    if asked.only in (None, "speed"):
        with tempfile.TemporaryDirectory() as folder:
            pages = asked.pages if asked.pages is not None else measure_speed.all_pages()
            measure_speed.report(Path(folder), pages, asked.times)
