"""How soon `where` tells when an order is ready, right after a scan, with many open tickets."""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from config.settings import load_settings
from intake.forecasts import FolderShelf
from intake.order.asked import read_asked
from tests.bench.machine import describe_machine
from tests.bench.order_books import NOW, BookMaker, BookOrder, write_books
from tickets.ledger import Ledger
from tickets.lookup import where_is
from tickets.lookup.foreseeing import Foresight, foresight
from tickets.lookup.promising import promise
from tickets.requests import ScanRequest
from tickets.store import Store, open_store

PATIENCE_SECONDS = 0.2  # as the pages have
Times = tuple[float, float]  # seconds on the wall, and on the processor


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench fresh [--orders 1200] [--times 20]`: prints a table."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench fresh", description=__doc__)
    asked.add_argument("--orders", type=int, default=1200, help="all open; some 1.7 tickets each")
    asked.add_argument("--times", type=int, default=20)
    given = asked.parse_args(argv)
    tell(describe_machine())
    with tempfile.TemporaryDirectory(prefix="fd-fresh-") as folder:
        store = open_store(load_settings(None, {}), Path(folder), create=True)
        try:
            orders = write_books(store, BookMaker(given.orders, live=given.orders * 2))
            tell(f"{sum(len(o.codes) for o in orders)} open tickets of {len(orders)} orders\n")
            tell("| asked right after a scan | p50 s | worst s | of it on the processor, p50 s |")
            tell("| --- | --- | --- | --- |")
            for name, patience in (("commands, which wait", None), ("pages", PATIENCE_SECONDS)):
                seconds = measure(store, orders, given.times, patience)
                tell_times(name, seconds)
            tell_times("pages, a scan meanwhile", time_scans(store, orders, given.times))
            shelf = FolderShelf(Path(folder) / "forecast.json")
            tell_times("commands, with the shelf", measure(store, orders, given.times, None, shelf))
            tell_times("a promise", [timed(partial(ask_promise, store)) for _ in range(3)])
        finally:
            store.close()


def measure(
    store: Store,
    orders: Sequence[BookOrder],
    times: int,
    patience: float | None,
    shelf: FolderShelf | None = None,
) -> list[Times]:
    """Scan one ticket, ask for another order; so many times. With a shelf as another process asks."""
    settings = load_settings(None, {})
    ledger = Ledger(store, settings, lambda: NOW)
    open_ones = iter([o for o in orders if o.is_live and o.order_id % 5 == 0])  # all of it waits at print
    ask(store, orders[-1], None, shelf).put_on_shelf()
    seconds = []
    for _ in range(times):
        ledger.scan(ScanRequest(next(open_ones).codes[0], "print", 1))
        seconds.append(timed(lambda: ask(store, orders[-1], patience, shelf)))
    return seconds


def time_scans(store: Store, orders: Sequence[BookOrder], times: int) -> list[Times]:
    """How long scans take while forecasts are made beside them."""
    settings = load_settings(None, {})
    ledger = Ledger(store, settings, lambda: NOW)
    waiting = [o for o in orders if o.is_live and o.order_id % 5 == 0][-times:]
    seconds = []
    for order in waiting:
        asked = ScanRequest(order.codes[0], "print", 1)
        seconds.append(timed(partial(ledger.scan, asked)))
        ask(store, orders[-1], PATIENCE_SECONDS)
    return seconds


def ask(
    store: Store, order: BookOrder, patience: float | None, shelf: FolderShelf | None = None
) -> Foresight:
    """One question, with the forecast."""
    settings = load_settings(None, {})
    foresee = foresight(store, settings, NOW, patience, shelf)
    (found, *_) = where_is(store, settings, order.number, now=NOW, foresee=foresee).orders
    assert found.ready is not None
    return foresee


def ask_promise(store: Store) -> None:
    """By when a small order can be had."""
    settings = load_settings(None, {})
    document = b'{"items": [{"quantity": 40, "width_mm": 90, "height_mm": 81.4}]}'
    promise(store, settings, read_asked(document, settings, NOW), NOW)


def timed(act: Callable[[], object]) -> Times:
    """Seconds on the wall and on the processor, of everything that this process did meanwhile."""
    start, worked = time.perf_counter(), time.process_time()
    act()
    return time.perf_counter() - start, time.process_time() - worked


def tell_times(name: str, seconds: Sequence[Times]) -> None:
    """One row of the table."""
    wall, processor = zip(*seconds, strict=True)
    middle = f"{statistics.median(wall):.2f} | {max(wall):.2f} | {statistics.median(processor):.2f}"
    tell(f"| {name} | {middle} |")


def tell(line: str) -> None:
    """Print at once, for those who watch."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()
