"""What the measuring costs beside decoding the same file, and how much memory it takes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray

from intake.facts import Ask
from intake.measure import measure_with_picture
from intake.sandbox.child import ALLOCATOR
from tests.bench.measure_words import say

Bytes = NDArray[np.uint8]
BAND_ROWS = 256


class VipsPixels:
    """A PNG decoded by libvips in bands, again each time."""

    def __init__(self, path: Path) -> None:
        self.path = path
        image = pyvips.Image.new_from_file(str(path), access="sequential")
        self.width, self.height, self.has_alpha, self.lossy = (
            image.width,
            image.height,
            image.hasalpha(),
            False,
        )

    def bands(self, rows: int) -> Iterator[Bytes]:
        """Bands of RGBA."""
        image = pyvips.Image.new_from_file(str(self.path), access="sequential")
        image = image if self.has_alpha else image.bandjoin(255)
        region = pyvips.Region.new(image)
        for y in range(0, self.height, rows):
            count = min(rows, self.height - y)
            data = region.fetch(0, y, self.width, count)
            yield np.frombuffer(data, np.uint8).reshape(count, self.width, 4)


def best(task: Callable[[], object], times: int) -> tuple[float, float]:
    """The least wall time and the least processor time of several runs, in seconds."""
    wall, spent = [], []
    for _ in range(times):
        a, b = time.perf_counter(), time.process_time()
        task()
        wall.append(time.perf_counter() - a)
        spent.append(time.process_time() - b)
    return min(wall), min(spent)


def measure_page(path: Path, times: int) -> dict[str, float]:
    """Times of one page in this process: OpenCV's imread, libvips' bands, the whole check."""
    pixels = VipsPixels(path)
    check = best(lambda: measure_with_picture(pixels, 25.4 / 300, Ask()), times)
    peak = _peak_mb()
    vips = best(lambda: [None for _ in pixels.bands(BAND_ROWS)], times)
    imread = best(lambda: cv2.imread(str(path), cv2.IMREAD_UNCHANGED), times)
    return {
        "megapixels": pixels.width * pixels.height / 1e6,
        "imread": imread[0],
        "imread_cpu": imread[1],
        "vips": vips[0],
        "check": check[0],
        "check_cpu": check[1],
        "peak_mb": peak,
    }


def report(folder: Path, names: list[str], times: int) -> None:
    """Print the table; every page is measured in a process of its own."""
    say(
        "\n| page | Mpx | imread s | libvips bands s | check s | k (wall) | k (processor) | child's peak MB |"
    )
    say("|---|---|---|---|---|---|---|---|")
    from tests.bench.measure_art import make_page

    for name in names:
        path = make_page(folder, name)
        command = [sys.executable, "-m", "tests.bench.measure_speed", str(path), str(times)]
        answer = subprocess.run(
            command, check=True, capture_output=True, text=True, env={**_environment(), **ALLOCATOR}
        )
        r = json.loads(answer.stdout.splitlines()[-1])
        say(
            f"| {name} | {r['megapixels']:.1f} | {r['imread']:.3f} | {r['vips']:.3f} | {r['check']:.3f} "
            f"| {r['check'] / r['imread']:.2f} | {r['check_cpu'] / r['imread_cpu']:.2f} "
            f"| {r['peak_mb']:.0f} |"
        )


def _peak_mb() -> float:
    """The most memory that this process has held; `getrusage` would include its parent's before `exec`."""
    status = Path("/proc/self/status")
    if not status.exists():
        return float("nan")
    lines = dict(line.split(":", 1) for line in status.read_text().splitlines() if ":" in line)
    return int(lines["VmHWM"].split()[0]) / 1024


def _environment() -> dict[str, str]:
    return dict(os.environ)


def all_pages() -> list[str]:
    """Names of all pages."""
    from tests.bench.measure_art import PAGES

    return list(PAGES)


if __name__ == "__main__":
    cv2.setNumThreads(1)
    pyvips.cache_set_max(0)  # as the readers do: it would hold every picture that was decoded
    say(json.dumps(measure_page(Path(sys.argv[1]), int(sys.argv[2]))))
