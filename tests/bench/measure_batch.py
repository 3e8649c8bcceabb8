"""A batch of small logos: files a second through the pool of workers, beside decoding the same files only."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import cv2

from config.settings import load_settings
from intake.facts import Preflight
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from tests.bench.measure_words import say

SIDE_PX, SHAPES = 1000, 2.0  # of a logo: a megapixel with a dozen shapes and sixteen words
WIDTH_MM = 84.7  # at 300 ppi
WARM = 8


def report(folder: Path, count: int) -> None:
    """Print files a second: decoded by OpenCV one after the other and in two threads, checked in the pool."""
    from tests.bench.measure_art import make_logo

    files = [make_logo(folder, number, SIDE_PX, SHAPES) for number in range(count)]
    settings = load_settings(None)
    jobs = [PreflightJob(f, f.name, settings.limits, settings.film, width_mm=WIDTH_MM) for f in files]
    one = _seconds(lambda: list(map(_decode, files)))
    with ThreadPoolExecutor(2) as threads:
        two = _seconds(lambda: list(threads.map(_decode, files)))
        with Sandbox(settings.sandbox) as sandbox:

            def check(job: PreflightJob) -> Preflight:
                return sandbox.preflight(job)

            list(threads.map(check, jobs[:WARM]))
            pooled = _seconds(lambda: list(threads.map(check, jobs)))
    say(f"\n### {count} logos of {SIDE_PX} × {SIDE_PX} px, RGBA PNG\n")
    say("| what | files a second | × decoding in two threads |")
    say("|---|---|---|")
    rows = ("imread, one thread", one), ("imread, two threads", two), ("whole check, pool of workers", pooled)
    for name, spent in rows:
        say(f"| {name} | {count / spent:.0f} | {spent / two:.1f} |")


def _decode(path: Path) -> None:
    cv2.imread(str(path), cv2.IMREAD_UNCHANGED)


def _seconds(task: Callable[[], object]) -> float:
    start = time.perf_counter()
    task()
    return time.perf_counter() - start
