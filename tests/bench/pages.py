"""The pages under load: scans at a fixed pace beside a bare durable insert; the largest pages; a scanner."""

from __future__ import annotations

import argparse
import contextlib
import json
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import httpx
from sqlalchemy import text
from sqlmodel import col, func, select

from config.settings import load_settings
from intake.shop import make_shop
from tests.bench.http_load import Answered, Pace, offer, request_bytes, share
from tests.bench.machine import describe_machine
from tests.bench.order_books import STATIONS, BookMaker, BookOrder, write_books
from tests.web.browsers import find_chromium, start_browser, type_scan, wait_for
from tests.web.shops import token_of
from tickets.ledger.devices import DeviceBook
from tickets.models import ScanKey
from tickets.store import open_store

if TYPE_CHECKING:
    from playwright.sync_api import Page


LIMIT_SECONDS = 60.0
ITEMS_AN_ORDER = 1.6  # of the invented books, on average
WEDGE_SCANS = 60


@dataclass(frozen=True)
class Books:
    """A shop folder with invented books."""

    folder: Path
    orders: list[BookOrder]

    @property
    def live(self) -> list[tuple[str, str]]:
        """Codes of tickets in work, with the station at which they wait; dispatch has rules of its own."""
        return [
            (code, STATIONS[order.order_id % 5])
            for order in self.orders
            if order.is_live and order.order_id % 5 < len(STATIONS) - 1
            for code in order.codes
        ]


def run(argv: Sequence[str]) -> int:
    """Measure, and print what was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench pages", description=__doc__)
    parser.add_argument("--tickets", type=int, default=100_000, help="in the books, for the scans")
    parser.add_argument("--seconds", type=int, default=30)
    parser.add_argument("--pace", type=float, default=200.0, help="scans offered a second")
    parser.add_argument("--connections", type=int, default=50)
    parser.add_argument("--large", type=int, default=0, help="tickets in the books of the largest pages")
    parser.add_argument("--wedge", action="store_true", help="also time scans that are typed in a browser")
    asked = parser.parse_args(argv)
    print(describe_machine())  # noqa: T201
    with tempfile.TemporaryDirectory(prefix="fd-pages-") as folder:
        if asked.seconds:
            scans = round(asked.pace * asked.seconds)
            books = make_books(Path(folder) / "shop", asked.tickets, live=max(3000, scans * 2))
            measure_scans(books, scans, Pace(asked.pace, asked.connections))
            if asked.wedge:
                measure_wedge(books)
        if asked.large:
            measure_pages(make_books(Path(folder) / "large", asked.large, live=3000))
    return 0


def make_books(folder: Path, tickets: int, live: int) -> Books:
    """A shop with so many tickets, of which those of `live` orders are in work."""
    make_shop(folder)
    began = time.perf_counter()
    store = open_store(load_settings(folder), folder)
    try:
        orders = write_books(store, BookMaker(round(tickets / ITEMS_AN_ORDER), live=live))
        with store.writing() as session:
            session.execute(text("ANALYZE"))
    finally:
        store.close()
    count, seconds = sum(len(order.codes) for order in orders), time.perf_counter() - began
    size_mb = (folder / "filmdocket.db").stat().st_size / 1e6
    print(f"{count:,} tickets written in {seconds:.0f} s, {size_mb:,.0f} MB")  # noqa: T201
    return Books(folder, orders)


def measure_scans(books: Books, scans: int, pace: Pace) -> None:
    """The bare insert, the scans, and the bare insert again, so that the machine's own mood shows."""
    chosen = books.live[:: max(1, len(books.live) // scans)][:scans]
    if len(chosen) < scans:
        raise SystemExit(f"The books have only {len(chosen)} tickets in work for {scans} scans.")
    bare = [_insert(code) for code, _ in chosen]
    before = _offer_bare(books.folder, bare, pace)
    with serve_shop(books.folder) as port:
        headers = let_in(books.folder, port)
        offer(port, [request_bytes("GET", "/api/line", headers)], Pace(1, 1))
        answers = offer(port, [_scan(headers, code, at) for code, at in chosen], pace)
    after = _offer_bare(books.folder, bare, pace)
    kept = _count_keys(books.folder)
    good = sum(answer.status == 200 for answer in answers)
    _report("bare insert, before", before, None)
    _report("scan", answers, before)
    _report("bare insert, after", after, before)
    print(f"offered {scans:,}, answered well {good:,}, in the books {kept:,}, lost {scans - kept:,}")  # noqa: T201
    for answer in [a for a in answers if a.status != 200][:3]:
        print(f"  {answer.status} {answer.body[:300]!r}")  # noqa: T201


def measure_pages(books: Books) -> None:
    """The station's page and the desk's answers, asked one after the other."""
    names = [order.customer.name for order in books.orders[-2000::40]]
    asked = {
        "/at/press": ["/at/press"] * 50,
        "/where, a name": [f"/where?words={name.replace(' ', '+')}" for name in names],
        "/where, a name cut short": [f"/where?words={name.split()[0][:5]}" for name in names],
        "/where, a code": [f"/where?words={order.codes[0]}" for order in books.orders[-2000::40]],
        "/": ["/"] * 20,
        "/papers": ["/papers"] * 10,
    }
    with serve_shop(books.folder) as port:
        headers = let_in(books.folder, port)
        for name, paths in asked.items():
            took = []
            for path in [paths[0], *paths]:
                began = time.perf_counter()
                answer = httpx.get(f"http://127.0.0.1:{port}{path}", headers=headers, timeout=LIMIT_SECONDS)
                took.append(time.perf_counter() - began)
                assert answer.status_code == 200, (path, answer.status_code)
            p50, p95, first = (1000 * s for s in (share(took[1:], 0.5), share(took[1:], 0.95), took[0]))
            print(f"{name:<26} p50 {p50:8.1f} ms   p95 {p95:8.1f} ms   the first {first:8.1f} ms")  # noqa: T201


_WATCH_ANSWER = """() => {
  window.took = [];
  let pressed = 0;
  addEventListener("keydown", (e) => { if (e.key === "Enter") pressed = performance.now(); }, true);
  new MutationObserver(() => requestAnimationFrame(() => {
    if (pressed) { took.push(performance.now() - pressed); pressed = 0; }
  })).observe(document.getElementById("answer"), {childList: true, subtree: true, characterData: true});
}"""


def measure_wedge(books: Books) -> None:
    """Codes typed as a scanner types them: from the Enter behind the code to the painted answer."""
    from playwright.sync_api import sync_playwright

    if find_chromium() is None:
        print("no chromium on this machine: typed scans are not timed")  # noqa: T201
        return
    codes = [code for code, at in books.live if at == "press"][1::2][:WEDGE_SCANS]
    with serve_shop(books.folder) as port, sync_playwright() as driver:
        browser = start_browser(driver)
        page = browser.new_page()
        address = f"http://127.0.0.1:{port}"
        page.goto(f"{address}/pair/{_pairing_code(books.folder)}")
        page.get_by_role("button", name="Let this device in").click()
        page.wait_for_url(lambda url: "/pair" not in url)
        page.goto(f"{address}/at/press")
        page.evaluate(_WATCH_ANSWER)
        for at, code in enumerate(codes, 1):
            type_scan(page, code)
            _await_answer(page, at)
            page.wait_for_load_state("networkidle")
        took = [float(ms) / 1000 for ms in page.evaluate("took")]
        browser.close()
    inside = sum(seconds <= 0.150 for seconds in took)
    print(  # noqa: T201
        f"typed scan to painted answer, {len(took)} scans: p50 {share(took, 0.5) * 1000:.0f} ms, "
        f"p95 {share(took, 0.95) * 1000:.0f} ms, worst {max(took) * 1000:.0f} ms; {inside} within 150 ms"
    )


def _await_answer(page: Page, number: int) -> None:
    """Until so many answers were painted; asked from outside, for the policy lets no page evaluate text."""
    wait_for(lambda: bool(page.evaluate("took.length") >= number))


@contextlib.contextmanager
def serve_shop(folder: Path) -> Iterator[int]:
    """The real `filmdocket serve` on a free port."""
    port = _free_port()
    command = [sys.executable, "-m", "intake.cli", "serve", "--shop", str(folder), "--port", str(port)]
    with _running(command, port):
        yield port


@contextlib.contextmanager
def _running(command: Sequence[str], port: int) -> Iterator[None]:
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    try:
        _wait_for(port, server)
        yield
    finally:
        server.terminate()
        server.wait(LIMIT_SECONDS)


def _wait_for(port: int, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + LIMIT_SECONDS
    while True:
        assert server.poll() is None, "the server ended"
        assert time.monotonic() < until, "the server does not answer"
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.05)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _pairing_code(folder: Path) -> str:
    store = open_store(load_settings(folder), folder)
    try:
        from intake.shop import utc_now

        return str(DeviceBook(store, utc_now).new_code("owner", "bench"))
    finally:
        store.close()


def let_in(folder: Path, port: int) -> dict[str, str]:
    """The headers of a device that was let in, with the token that its forms carry."""
    host = f"127.0.0.1:{port}"
    with httpx.Client(base_url=f"http://{host}") as client:
        client.post("/pair", data={"code": _pairing_code(folder)})
        cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
        token = token_of(client.get("/kept"))
    return {
        "Host": host,
        "Cookie": cookie,
        "X-Filmdocket-Token": token,
        "Origin": f"http://{host}",
        "Content-Type": "application/json",
    }


def _scan(headers: dict[str, str], code: str, station: str) -> bytes:
    asked = {"code": code, "station": station, "by": "Ines", "key": f"bench-{code}"}
    return request_bytes("POST", "/api/scan", headers, json.dumps(asked).encode())


def _insert(code: str) -> bytes:
    headers = {"Host": "127.0.0.1", "Content-Type": "application/json"}
    asked = {"code": code, "station": "press", "by": "Ines", "key": f"bench-{code}"}
    return request_bytes("POST", "/insert", headers, json.dumps(asked).encode())


def _offer_bare(folder: Path, requests: Sequence[bytes], pace: Pace) -> list[Answered]:
    port = _free_port()
    file = folder / f"bare-{port}.db"
    with _running([sys.executable, "-m", "tests.bench.bare_insert", str(file), str(port)], port):
        return offer(port, requests, pace)


def _count_keys(folder: Path) -> int:
    store = open_store(load_settings(folder), folder)
    try:
        with store.reading() as session:
            asked = select(func.count()).where(col(ScanKey.key).startswith("bench-"))
            return int(session.exec(asked).one())
    finally:
        store.close()


def _report(name: str, answers: Sequence[Answered], beside: Sequence[Answered] | None) -> None:
    took = [answer.seconds for answer in answers]
    p50, p99 = share(took, 0.5), share(took, 0.99)
    ratio = ""
    if beside is not None:
        base = [answer.seconds for answer in beside]
        ratio = f"   {p50 / share(base, 0.5):5.1f} × and {p99 / share(base, 0.99):5.1f} × the bare insert"
    print(f"{name:<22} p50 {p50 * 1000:8.1f} ms   p99 {p99 * 1000:8.1f} ms{ratio}")  # noqa: T201
