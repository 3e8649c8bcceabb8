"""How long from drop to ticket, and how many orders a minute, against the bare decoding of the same files."""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from intake.cli import main
from tests.bench.machine import describe_machine

SETTLE_SECONDS = 0.3


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench drop [--orders 200]`: prints a Markdown table."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench drop")
    asked.add_argument("--orders", type=int, default=200)
    orders = asked.parse_args(argv).orders
    tell(describe_machine())
    tell("| what | seconds | against |\n| --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        single = time_drop(Path(folder) / "one", 1)
        tell(f"| one small order, drop to ticket, {SETTLE_SECONDS} s settling taken off | {single:.2f} | – |")
    with tempfile.TemporaryDirectory() as folder:
        spent = time_drop(Path(folder) / "many", orders)
        bare = time_decoding(Path(folder) / "many")
        tell(
            f"| {orders} orders in one drop | {spent:.1f} ({orders / spent * 60:.0f} orders a minute) "
            f"| {spent / bare:.0f} × the bare decoding of their files ({bare:.2f} s) |"
        )


def tell(text: str) -> None:
    """One line of the table, on stdout."""
    sys.stdout.write(f"{text}\n")


def time_drop(shop: Path, orders: int) -> float:
    """Seconds from the last file dropped to the last ticket written, the settling taken off."""
    main(["init", str(shop)])
    (shop / "shop.toml").write_text(
        f"[intake]\nsettle_seconds = {SETTLE_SECONDS}\nscan_seconds = 0.2\n", encoding="utf-8"
    )
    daemon = subprocess.Popen(
        [sys.executable, "-m", "intake.cli", "watch", "--shop", str(shop)],
        stderr=subprocess.DEVNULL,
        cwd=Path(__file__).parents[2],
    )
    try:
        wait_until(lambda: (shop / "filmdocket.log").is_file())
        time.sleep(1.0)  # the daemon's start is not what is measured
        aside = shop.parent / f"{shop.name}-drop"
        draw_orders(aside, orders)
        aside.rename(shop / "inbox" / "drop")
        begun = time.perf_counter()
        wait_until(lambda: len(list((shop / "papers").rglob("*.pdf"))) >= orders)
        return time.perf_counter() - begun - SETTLE_SECONDS
    finally:
        daemon.terminate()
        daemon.wait(30)


def time_decoding(shop: Path) -> float:
    """Seconds that Pillow takes to decode every original, one after the other: the named baseline."""
    begun = time.perf_counter()
    for path in (shop / "originals").rglob("*"):
        if path.is_file() and path.read_bytes()[:4] == b"\x89PNG":
            with Image.open(path) as art:
                art.load()
    return time.perf_counter() - begun


def draw_orders(folder: Path, orders: int) -> None:
    """So many orders of one small logo each (800 px, clear at 60 mm), no two with the same bytes."""
    folder.mkdir(parents=True)
    for at in range(orders):
        art = Image.new("RGBA", (800, 800), (0, 0, 0, 0))
        ImageDraw.Draw(art).ellipse((1, 1, 798, 798), fill=(at % 251, at // 251, 90, 255))
        art.save(folder / f"logo-{at}.png")
        order = {
            "order": f"B-{at}",
            "customer": {"name": f"Bench club {at}"},
            "items": [{"artwork": f"logo-{at}.png", "width_mm": 60, "quantity": 10}],
        }
        (folder / f"order-{at}.json").write_text(json.dumps(order), encoding="utf-8")


def wait_until(is_so: object, limit_seconds: float = 900.0) -> None:
    """Wait for a condition with a limit; a bench may look every 20 ms."""
    until = time.monotonic() + limit_seconds
    while not is_so():  # type: ignore[operator]
        if time.monotonic() > until:
            raise TimeoutError("the daemon did not finish in time")
        time.sleep(0.02)
