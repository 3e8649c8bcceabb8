"""A real shop folder with a real `filmdocket watch` process in it, for tests that drop files and wait."""

from __future__ import annotations

import io
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

from PIL import Image, ImageDraw

from intake.shop import open_shop
from tickets.lookup import list_arrivals, list_orders

SETTINGS = """
[intake]
scan_seconds = 0.2
settle_seconds = 0.3
company_seconds = 1.0
heartbeat_seconds = 0.5
min_free_mb = 0
[sandbox]
workers = 1
"""
LIMIT_SECONDS = 60.0  # generous: the machine may be busy


def artwork(shade: int = 16, width_px: int = 1100) -> bytes:
    """A disc with sharp edges on nothing; at 90 mm it is well with 1100 px and too coarse with 300."""
    height_px = width_px * 10 // 11
    art = Image.new("RGBA", (width_px, height_px), (0, 0, 0, 0))
    ImageDraw.Draw(art).ellipse((0, 0, width_px - 1, height_px - 1), fill=(shade, 33, 63, 255))
    buffer = io.BytesIO()
    art.save(buffer, "PNG")
    return buffer.getvalue()


class Daemon(Protocol):
    """A running `filmdocket watch`, however it was started."""

    @property
    def pid(self) -> int:
        """Its process number."""

    def poll(self) -> int | None:
        """Its exit status, or None while it lives."""

    def send_signal(self, number: int, /) -> None:
        """As `kill` would."""

    def kill(self) -> None:
        """End it at once."""

    def wait(self, timeout: float = LIMIT_SECONDS) -> int:
        """Its exit status, once it is dead."""


class Watched:
    """A shop folder, and the commands that a person would type about it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.inbox = folder / "inbox"
        self._daemon: Daemon | None = None

    def command(self, *words: str, fault_point: str = "") -> subprocess.CompletedProcess[str]:
        """Run one command to its end."""
        return subprocess.run(
            _command_line(self.folder, words),
            env=_environment(fault_point),
            capture_output=True,
            encoding="utf-8",
            timeout=LIMIT_SECONDS,
            check=False,
        )

    def inbox_answer(self) -> Any:
        """What `inbox --json` says; asked in this process, for a command takes a second to start."""
        with open_shop(self.folder) as shop:
            return list_arrivals(shop.store, None).as_json()

    def orders_answer(self) -> list[dict[str, Any]]:
        """The orders that `orders --json` lists."""
        with open_shop(self.folder) as shop:
            return [answer.as_json() for answer in list_orders(shop.store, shop.settings)]

    def start(self, fault_point: str = "") -> subprocess.Popen[bytes]:
        """Start the daemon; its log is in the shop folder."""
        daemon = subprocess.Popen(
            _command_line(self.folder, ("watch",)),
            env=_environment(fault_point),
            stderr=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
        )
        self._daemon = daemon
        return daemon

    def adopt(self, daemon: Daemon) -> Daemon:
        """A daemon that somebody else has started in this folder."""
        self._daemon = daemon
        return daemon

    def stop(self, how: signal.Signals = signal.SIGTERM) -> int:
        """Stop the daemon; its exit status."""
        assert self._daemon is not None
        self._daemon.send_signal(how)
        status = self._daemon.wait(timeout=LIMIT_SECONDS)
        self._daemon = None
        return status

    def close(self) -> None:
        """End the daemon if a test has left it running."""
        if self._daemon is not None and self._daemon.poll() is None:
            self._daemon.kill()
            self._daemon.wait()

    def drop(self, name: str, content: bytes | dict[str, Any]) -> None:
        """Put a file into the inbox, as a copy does: under its name from the first byte on."""
        path = self.inbox / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())

    def files(self) -> dict[str, str]:
        """What the list says that each file stands as, the newest of each path."""
        rows = self.inbox_answer()["files"]
        return {row["path"]: row["standing"] for row in reversed(rows)}

    def tickets(self) -> dict[str, list[str]]:
        """The ticket codes of each order."""
        return {o["order"]: [t["code"] for t in o["tickets"]] for o in self.orders_answer()}

    def standing(self, number: str) -> str:
        """What an order stands as; "" while it is not in the books."""
        found = [o for o in self.orders_answer() if o["order"] == number]
        return str(found[0]["standing"]) if found else ""

    def wait_for(self, what: Callable[[], bool]) -> None:
        """Wait until something is so, within a limit."""
        until = time.monotonic() + LIMIT_SECONDS
        while not what():
            assert time.monotonic() < until, f"waited in vain; the list says {self.inbox_answer()}"
            time.sleep(0.1)

    def paper(self, number: str, code: str) -> Path:
        """Where a ticket's paper lies."""
        return self.folder / "papers" / number / f"{code}.pdf"


def _command_line(folder: Path, words: tuple[str, ...]) -> list[str]:
    return [sys.executable, "-m", "intake.cli", words[0], "--shop", str(folder), *words[1:]]


def _environment(fault_point: str) -> dict[str, str]:
    return {**os.environ, "FILMDOCKET_FAULT_POINT": fault_point}


def make_watched(template: Path, folder: Path) -> Watched:
    """A shop in `folder`, copied from one that `init` made."""
    shutil.copytree(template, folder)
    (folder / "shop.toml").write_text(SETTINGS, encoding="utf-8")
    return Watched(folder)
