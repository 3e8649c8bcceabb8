"""Opens one hostile file under hard limits, in a process of its own, and says what became of it as JSON."""

from __future__ import annotations

import json
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

from config.settings import load_settings
from intake.inbox.zipping import unpack
from intake.order import read_order
from intake.preflight import PreflightJob, run_preflight
from intake.shop import open_shop
from tests.intake.shops import png
from tickets.problems import ShopProblem

LIMIT_BYTES = 3_000_000_000  # never the machine's, whatever a bomb does
LIMIT_SECONDS = 60


def confine() -> None:
    """The last resort of a test; the shop's own limits are those of the sandbox."""
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (LIMIT_BYTES, LIMIT_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (LIMIT_SECONDS, LIMIT_SECONDS))


def peak_mb() -> float:
    """The most memory that this process has had so far."""
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def open_it(path: Path, shop_folder: Path) -> str:
    """The slug by which a file is refused, "" when it is not."""
    settings = load_settings(None, {})
    try:
        if path.suffix == ".zip":
            with open_shop(shop_folder) as shop:
                unpack(shop, path, lambda: None)
        elif path.suffix == ".json":
            read_order(path.read_bytes(), settings, datetime(2026, 11, 2, tzinfo=UTC))
        else:
            job = PreflightJob(path, path.name, settings.limits, settings.film, width_mm=50.0)
            return run_preflight(job).slug
    except ShopProblem as problem:
        return problem.slug
    return ""


def main() -> None:
    """Everything that a harmless file needs is loaded first, so that only the bomb's own cost is counted."""
    path, shop_folder = Path(sys.argv[1]), Path(sys.argv[2])
    confine()
    harmless = shop_folder / "harmless.png"
    harmless.write_bytes(png())
    open_it(harmless, shop_folder)
    before_mb, began = peak_mb(), time.process_time()
    slug = open_it(path, shop_folder)
    cost = {"slug": slug, "seconds": time.process_time() - began, "more_mb": peak_mb() - before_mb}
    sys.stdout.write(json.dumps(cost))


if __name__ == "__main__":
    main()
