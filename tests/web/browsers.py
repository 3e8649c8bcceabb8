"""A real Chromium against a real server: Debian's browser, driven by Playwright's package."""

from __future__ import annotations

import contextlib
import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, Playwright

from tests.web.shops import WebShop

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
ARGUMENTS = ("--no-sandbox", "--disable-background-networking", "--disable-dev-shm-usage", "--mute-audio")
SIZES = {"phone": (320, 640), "tablet": (820, 1180), "desktop": (1360, 860)}
NAMED = {"station": "press kiosk", "desk": "front desk", "owner": "office computer"}
LIMIT_SECONDS = 20.0
SCANNER_MS = 3  # between characters: a hand scanner types some hundred a second


def find_chromium() -> str | None:
    """The browser's program; None when this machine has none."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def start_browser(playwright: Playwright) -> Browser:
    """The browser without a window."""
    return playwright.chromium.launch(executable_path=find_chromium(), args=list(ARGUMENTS))


@dataclass
class Served:
    """A shop whose pages are served on a port of this machine."""

    shop: WebShop
    address: str

    def let_in(self, browser: Browser, role: str = "station", size: str = "desktop") -> Page:
        """A page of a browser of its own that was let in."""
        context: BrowserContext = browser.new_context(
            viewport={"width": SIZES[size][0], "height": SIZES[size][1]}
        )
        context.set_default_timeout(LIMIT_SECONDS * 1000)
        page = context.new_page()
        page.goto(f"{self.address}/pair/{self.shop.devices.new_code(role, NAMED[role])}")
        page.locator("main form button").click()
        page.wait_for_url(lambda url: "/pair" not in url)
        return page


@contextlib.contextmanager
def serve(shop: WebShop) -> Iterator[Served]:
    """Serve a shop's pages in a thread until the block ends."""
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(shop.app, log_level="error", timeout_graceful_shutdown=1))
    shop.app.state.is_stopping = lambda: server.should_exit
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    wait_for(lambda: server.started)
    try:
        yield Served(shop, f"http://127.0.0.1:{listening.getsockname()[1]}")
    finally:
        server.should_exit = True
        thread.join(LIMIT_SECONDS)
        listening.close()


def wait_for(is_so: Callable[[], bool]) -> None:
    """Wait until something has come about, within a limit."""
    ends = time.monotonic() + LIMIT_SECONDS
    while not is_so():
        assert time.monotonic() < ends, "this did not come about in time"
        time.sleep(0.02)


def type_scan(page: Page, text: str, ending: str = "Enter") -> None:
    """Type as a hand scanner does: fast, to whatever has the focus."""
    page.keyboard.type(text, delay=SCANNER_MS)
    page.keyboard.press(ending)
