"""A soak: thousands of orders through one daemon process; its memory and what it holds open."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from pathlib import Path

import psutil
from sqlalchemy import text

from intake.shop import Shop, open_shop
from tests.acceptance.campaign import SETTINGS
from tests.acceptance.daemons import Watched
from tests.intake.shops import as_file, order, png
from tickets.ledger.audit import audit
from tickets.store import DATABASE_NAME

BATCH = 50
BATCH_SECONDS = 300.0  # generous: the machine may be busy
MB = 1_000_000.0


@dataclass(frozen=True)
class Sample:
    """The daemon after so many orders: its own memory and that of its workers, and what it holds open."""

    orders: int
    own_mb: float
    workers_mb: float
    open_files: int
    threads: int


@dataclass
class Soak:
    """Orders in batches; after each, once its papers are written, a sample."""

    watched: Watched
    samples: list[Sample] = field(default_factory=list)
    seconds: float = 0.0

    def run(self, orders: int) -> None:
        """Drop, wait, measure; at the end stop the daemon and go over the books."""
        (self.watched.folder / "shop.toml").write_text(SETTINGS, encoding="utf-8")
        began = time.monotonic()
        daemon = psutil.Process(self.watched.start().pid)
        with open_shop(self.watched.folder) as shop:
            for first in range(0, orders, BATCH):
                batch = range(first, min(first + BATCH, orders))
                for number in batch:
                    self._drop(number)
                self._wait(shop, batch.stop)
                self.samples.append(_measure(daemon, batch.stop))
            self.seconds = time.monotonic() - began
            assert self.watched.stop() == 0
            assert audit(shop.store) == []

    def _drop(self, number: int) -> None:
        art = f"art-{number}.png"
        item = {"artwork": art, "width_mm": 2, "quantity": 4}
        (self.watched.inbox / art).write_bytes(png(number % 256, 24 + number // 256 % 200))
        document = as_file(order(f"S-{number}", items=[item]))
        (self.watched.inbox / f"order-{number}.json").write_bytes(document)

    def _wait(self, shop: Shop, orders: int) -> None:
        until = time.monotonic() + BATCH_SECONDS
        while _printed(shop) < orders:
            assert time.monotonic() < until, f"{_printed(shop)} of {orders} are printed"
            time.sleep(0.1)

    @property
    def bytes_an_order(self) -> float:
        """How much the books on the disk grow by an order of one item, as of the whole run."""
        return (self.watched.folder / DATABASE_NAME).stat().st_size / self.samples[-1].orders

    @property
    def slope_kb_an_order(self) -> float:
        """The line through the daemon's own memory by least squares, the first quarter left out."""
        later = self.samples[len(self.samples) // 4 :]
        mean_x = sum(s.orders for s in later) / len(later)
        mean_y = sum(s.own_mb for s in later) / len(later)
        above = sum((s.orders - mean_x) * (s.own_mb - mean_y) for s in later)
        return 1000 * above / sum((s.orders - mean_x) ** 2 for s in later)

    @property
    def open_files(self) -> tuple[int, int]:
        """The fewest and the most that were held open, the first quarter left out."""
        later = [s.open_files for s in self.samples[len(self.samples) // 4 :]]
        return min(later), max(later)

    def as_lines(self) -> list[str]:
        """What was measured, for people."""
        last = self.samples[-1]
        fewest, most = self.open_files
        return [
            f"{last.orders} orders in {self.seconds:.0f} s ({last.orders / self.seconds:.1f} a second)",
            f"daemon {last.own_mb:.0f} MB at the end, slope {self.slope_kb_an_order:+.2f} kB an order;"
            f" workers {last.workers_mb:.0f} MB",
            f"open files {fewest} to {most}, threads {last.threads}",
            f"books {self.bytes_an_order:.0f} bytes an order of one item",
        ]


def _printed(shop: Shop) -> int:
    with shop.store.reading() as session:
        asked = text("SELECT count(*) FROM tickets WHERE papered_revision > 0")
        return int(session.execute(asked).scalar() or 0)


def _measure(daemon: psutil.Process, orders: int) -> Sample:
    workers = sum(child.memory_info().rss for child in daemon.children(recursive=True))
    held = daemon.num_fds() if hasattr(daemon, "num_fds") else len(daemon.open_files())
    return Sample(orders, daemon.memory_info().rss / MB, workers / MB, held, daemon.num_threads())


def papers_below(folder: Path) -> int:
    """How many papers lie there."""
    return sum(1 for _ in (folder / "papers").rglob("*.pdf"))
