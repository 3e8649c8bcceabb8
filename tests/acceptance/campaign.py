"""A crash campaign: orders dropped by clumsy writers, the real daemon killed again and again, all audited.

What is proved is application crashes (SIGKILL). That a commit also survives a power cut rests on SQLite's WAL
with `synchronous=FULL` (sqlite.org, pragma and wal pages), which the store asserts on every connection.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from intake.faults import POINTS
from intake.shop import open_shop
from tests.acceptance import nursery
from tests.acceptance.daemons import Daemon, Watched
from tests.intake.shops import as_file, order, png, zipped
from tickets.ledger.audit import audit
from tickets.lookup import list_orders

SETTINGS = """
[intake]
scan_seconds = 0.05
settle_seconds = 0.05
company_seconds = 0.3
heartbeat_seconds = 0.5
min_free_mb = 0
[sandbox]
workers = 1
"""
LIMIT_SECONDS = 240.0
LONGEST_LIFE_SECONDS = 6.0  # for a step that may not be reached at all, or late on a busy machine


@dataclass
class Dropped:
    """What customers dropped: each finished file's place and hash, and the orders that must come of it."""

    hashes: dict[Path, str] = field(default_factory=dict)
    orders: set[str] = field(default_factory=set)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, path: Path, content: bytes) -> None:
        """A writer has finished this file."""
        with self.lock:
            self.hashes[path] = hashlib.sha256(content).hexdigest()


class Writers:
    """Customers who write files as programs in the field do; each order is dropped by one of the ways."""

    def __init__(self, inbox: Path, dropped: Dropped, seed: int) -> None:
        self._inbox = inbox
        self._dropped = dropped
        self._dice = random.Random(seed)
        self._ways: tuple[Callable[[Path, bytes], None], ...] = (
            plain, trickled, preallocated, renamed, hard_linked, kept_open,
        )  # fmt: skip

    def drop_order(self, number: int) -> None:
        """One order and its artwork, in either order of arrival, or in a zip, or in a folder moved in."""
        name, art = f"K-{number}", png(number % 256, 24 + number // 256)
        item = {"artwork": f"art-{number}.png", "width_mm": 2, "quantity": 4}
        document = as_file(order(name, items=[item]))
        way = self._dice.choice((*self._ways, *self._ways, "zip", "folder"))
        if way == "zip":
            content = zipped(**{f"art-{number}__png": art, "order__json": document})
            path = self._inbox / f"all-{number}.zip"
            renamed(path, content)
            self._dropped.note(path, content)
        elif way == "folder":
            self._move_in(number, art, document)
        else:
            files = [(f"art-{number}.png", art), (f"order-{number}.json", document)]
            self._dice.shuffle(files)
            for file_name, content in files:
                way(self._inbox / file_name, content)  # type: ignore[operator]
                self._dropped.note(self._inbox / file_name, content)
        with self._dropped.lock:
            self._dropped.orders.add(name)

    def _move_in(self, number: int, art: bytes, document: bytes) -> None:
        aside = self._inbox.parent / f"aside-{number}"
        aside.mkdir()
        (aside / f"art-{number}.png").write_bytes(art)
        (aside / "order.json").write_bytes(document)
        target = self._inbox / f"Customer {number}"
        aside.rename(target)
        self._dropped.note(target / f"art-{number}.png", art)
        self._dropped.note(target / "order.json", document)


def plain(path: Path, content: bytes) -> None:
    """One write."""
    path.write_bytes(content)


def trickled(path: Path, content: bytes) -> None:
    """Piece by piece, with pauses shorter than the settle time."""
    with path.open("wb") as file:
        for at in range(0, len(content), max(1, len(content) // 4)):
            file.write(content[at : at + max(1, len(content) // 4)])
            file.flush()
            time.sleep(0.01)


def preallocated(path: Path, content: bytes) -> None:
    """The size is right from the first moment on, the bytes come later."""
    with path.open("wb") as file:
        file.truncate(len(content))
        file.flush()
        time.sleep(0.02)
        file.write(content)


def renamed(path: Path, content: bytes) -> None:
    """Under a temporary name first, then renamed into place."""
    part = path.with_name(path.name + ".part")
    part.write_bytes(content)
    part.rename(path)


def hard_linked(path: Path, content: bytes) -> None:
    """As OpenSSH's server publishes an upload: link, then unlink the temporary name."""
    part = path.with_name(path.name + ".part")
    part.write_bytes(content)
    os.link(part, path)
    part.unlink()


def kept_open(path: Path, content: bytes) -> None:
    """Written whole, but the writer holds the file open for a while."""
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        time.sleep(0.1)


@dataclass
class Campaign:
    """Kill, audit, start again: `run(kills, orders)`; answers with the number of kills by what they hit."""

    watched: Watched
    seed: int = 1
    codes: dict[str, list[str]] = field(default_factory=dict)
    deaths: dict[str, int] = field(default_factory=dict)

    def run(self, kills: int, orders: int) -> dict[str, int]:
        """So many kills while so many orders are dropped; then, in peace, all is finished and audited."""
        dice, dropped = random.Random(self.seed), Dropped()
        (self.watched.folder / "shop.toml").write_text(SETTINGS, encoding="utf-8")
        writers = Writers(self.watched.inbox, dropped, self.seed)
        done = threading.Event()
        customer = threading.Thread(target=self._drop_all, args=(writers, orders, kills, done))
        customer.start()
        for _ in range(kills):
            self._live_and_die(dice)
            self.audit_bytes(dropped)
        done.set()
        customer.join()
        self._finish(dropped)
        return self.deaths

    def _drop_all(self, writers: Writers, orders: int, kills: int, done: threading.Event) -> None:
        """Spread over the kills, so that every death finds something at work; the rest at once at the end."""
        for number in range(orders):
            writers.drop_order(number)
            wait_until = time.monotonic() + 60.0
            while not done.is_set() and sum(self.deaths.values()) * orders < (number - 3) * kills:
                if time.monotonic() > wait_until:
                    break
                time.sleep(0.01)

    def _live_and_die(self, dice: random.Random) -> None:
        """One life of the daemon: to a named step, or to a random moment."""
        point = f"{dice.choice(POINTS)}:{dice.randint(1, 3)}" if dice.random() < 0.6 else ""
        daemon = self._start(point)
        if not point and dice.random() < 0.8:  # else it may die while it starts
            self._outlive(daemon, LIMIT_SECONDS, lambda: self._is_at_work(daemon))
        life = LONGEST_LIFE_SECONDS if point else dice.uniform(0.0, 1.0)
        self._outlive(daemon, life, lambda: False)
        hit = point.partition(":")[0] if daemon.poll() is not None else "at random"
        self.watched.stop(signal.SIGKILL)
        self.deaths[hit] = self.deaths.get(hit, 0) + 1
        self._same_codes()

    def _start(self, point: str) -> Daemon:
        if not nursery.CAN_FORK:
            return self.watched.start(fault_point=point)
        return self.watched.adopt(nursery.start(self.watched.folder, point))

    def _outlive(self, daemon: Daemon, seconds: float, is_so: Callable[[], bool]) -> None:
        """Wait until the daemon is dead, or something is so, or the time is over."""
        until = time.monotonic() + seconds
        while daemon.poll() is None and time.monotonic() < until and not is_so():
            time.sleep(0.005)

    def _is_at_work(self, daemon: Daemon) -> bool:
        """Whether this daemon has taken the shop's lock, and so is past its start."""
        holder = self.watched.folder / ".filmdocket.holder"
        return holder.is_file() and f"process {daemon.pid}," in holder.read_text(encoding="utf-8")

    def _same_codes(self) -> None:
        """An order that has ticket codes keeps them for good, and never gets more."""
        for number, codes in self.watched.tickets().items():
            known = self.codes.setdefault(number, [])
            assert not known or codes == known, f"{number} had {known} and now has {codes}"
            known[:] = codes

    def audit_bytes(self, dropped: Dropped) -> None:
        """Promise 1: each finished file's bytes lie in the inbox, or in originals under their hash, whole."""
        with dropped.lock:
            finished = dict(dropped.hashes)
        for path, sha256 in finished.items():
            places = (self.watched.folder / "originals" / sha256[:2] / sha256, path)
            assert any(_is_whole(place, sha256) for place in places), f"{path.name} ({sha256}) is lost"

    def _finish(self, dropped: Dropped) -> None:
        """In peace, until every order has its paper; then promises 1, 2 and 5 for every order."""
        self.watched.start()
        until = time.monotonic() + LIMIT_SECONDS
        while not self._all_papered(dropped.orders):
            assert time.monotonic() < until, f"not finished: {self.watched.inbox_answer()['files'][:20]}"
            time.sleep(0.2)
        self.watched.stop()
        self.audit_bytes(dropped)
        self._same_codes()
        with open_shop(self.watched.folder) as shop:
            assert audit(shop.store) == []
            found = list_orders(shop.store, shop.settings)
        assert {o.order for o in found} == dropped.orders
        assert len(found) == len(dropped.orders), "an order was taken twice"
        strays = [p for p in self.watched.inbox.rglob("*") if p.is_file() and not p.name.startswith(".")]
        assert strays == [], "files were left in the inbox"

    def _all_papered(self, orders: set[str]) -> bool:
        tickets = self.watched.tickets()
        return set(tickets) == orders and all(
            len(codes) == 1 and self.watched.paper(number, codes[0]).is_file()
            for number, codes in tickets.items()
        )


def _is_whole(path: Path, sha256: str) -> bool:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest() == sha256
    except OSError:
        return False


def as_text(deaths: dict[str, int]) -> str:
    """The kills by what they hit, for a report."""
    return json.dumps(dict(sorted(deaths.items())), ensure_ascii=False)
