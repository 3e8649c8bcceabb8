"""The real command `filmdocket serve`: what it prints opens the pages, and it ends cleanly."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest

from intake import cli
from intake.serving import Place
from tests.web.browsers import LIMIT_SECONDS
from tests.web.shops import make_template


class Serving:
    """A running `filmdocket serve` and what it has said so far."""

    def __init__(self, shop: Path, *more: str) -> None:
        words = [sys.executable, "-m", "intake.cli", "serve", "--shop", str(shop), "--port", str(free_port())]
        self.process = subprocess.Popen(
            [*words, *more], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, encoding="utf-8"
        )
        self.said = ""

    def read_until(self, pattern: str) -> re.Match[str]:
        """Read what it says, line by line, until something of that pattern was said."""
        assert self.process.stderr is not None
        while not (found := re.search(pattern, self.said)):
            line = self.process.stderr.readline()
            assert line, f"it ended: {self.said}"
            self.said += line
        return found

    def stop(self) -> int:
        """Ask it to end, as a service manager does."""
        self.process.send_signal(signal.SIGTERM)
        self.process.communicate(timeout=LIMIT_SECONDS)
        return self.process.returncode


def free_port() -> int:
    """A port that nobody has at the moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop folder."""
    return make_template(tmp_path / "shop")


@pytest.fixture
def serving(shop: Path) -> Iterator[Serving]:
    """The command, running."""
    started = Serving(shop)
    yield started
    started.process.kill()
    started.process.communicate()


def client_for(link: str) -> httpx.Client:
    """A browser at the address of a link."""
    base = re.match(r"https?://[^/]+", link)
    assert base
    return httpx.Client(base_url=base[0], trust_env=False, timeout=LIMIT_SECONDS)


def test_the_printed_link_makes_the_owner(serving: Serving) -> None:
    """Opened once it lets the owner in, and an open stream does not keep the server from ending."""
    link = serving.read_until(r"http://\S+/pair/\S+")[0]
    serving.read_until("--host 0.0.0.0")
    with client_for(link) as client:
        assert client.get("/").status_code == 401
        code = link.rpartition("/")[2]
        assert client.post("/pair", data={"code": code}).headers["location"] == "/devices"
        assert client.get("/devices").status_code == 200
        with client.stream("GET", "/events") as events:
            assert events.headers["content-type"].startswith("text/event-stream")
            status = serving.stop()
    assert status == 0 or os.name == "nt"  # where it is ended, not asked


def test_a_taken_port_is_told_in_words(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Which one, and what to do."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert cli.main(["serve", "--shop", str(shop), "--port", str(port)]) == 5
    assert f"port {port}" in capsys.readouterr().err


def test_a_wrong_certificate_is_told_in_words(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A missing file, and one that is no certificate."""
    for path in (shop / "nothing.pem", shop / "shop.toml"):
        words = ["--port", str(free_port()), "--certificate", str(path)]
        assert cli.main(["serve", "--shop", str(shop), *words]) == 5
        assert "certificate" in capsys.readouterr().err


def is_listening(address: str) -> bool:
    """Whether anybody takes connections there."""
    parts = urlsplit(address)
    with contextlib.suppress(OSError), socket.create_connection((parts.hostname, parts.port), timeout=1):
        return True
    return False


def wait_for(is_so: Callable[[], bool]) -> None:
    """Wait for a condition, within a limit."""
    until = time.monotonic() + 30
    while not is_so():
        assert time.monotonic() < until
        time.sleep(0.05)


def test_with_a_certificate_the_pages_are_https(shop: Path, tmp_path: Path) -> None:
    """The link says so, the connection is encrypted, and the cookie never travels without."""
    trustme = pytest.importorskip("trustme", reason="the package trustme is not installed")
    authority = trustme.CA()
    issued = authority.issue_cert("127.0.0.1")
    pem, root = tmp_path / "shop.pem", tmp_path / "root.pem"
    issued.private_key_and_cert_chain_pem.write_to_path(str(pem))
    authority.cert_pem.write_to_path(str(root))
    serving = Serving(shop, "--certificate", str(pem))
    try:
        link = serving.read_until(r"https://\S+/pair/\S+")[0]
        trust = ssl.create_default_context(cafile=str(root))
        with httpx.Client(verify=trust, trust_env=False) as client:
            base, _, code = link.rpartition("/")
            wait_for(lambda: is_listening(base))  # the link is told before the door is open
            answer = client.post(base, data={"code": code})
            assert "Secure" in answer.headers["set-cookie"]
    finally:
        serving.process.kill()
        serving.process.communicate()


@pytest.mark.parametrize(("trusted", "is_secure"), [('["127.0.0.1"]', True), ("[]", False)])
def test_only_a_named_proxy_is_believed(shop: Path, trusted: str, is_secure: bool) -> None:
    """What it says of https holds for cookies; from anybody else such a header says nothing."""
    with (shop / "shop.toml").open("a", encoding="utf-8") as file:
        file.write(f"\n[pages]\ntrusted_proxies = {trusted}\n")
    serving = Serving(shop)
    try:
        base, _, code = serving.read_until(r"http://\S+/pair/\S+")[0].rpartition("/")
        wait_for(lambda: is_listening(base))
        with httpx.Client(trust_env=False, timeout=LIMIT_SECONDS) as client:
            answer = client.post(base, data={"code": code}, headers={"X-Forwarded-Proto": "https"})
        assert ("Secure" in answer.headers["set-cookie"]) is is_secure
    finally:
        serving.process.kill()
        serving.process.communicate()


def test_addresses_are_those_that_other_devices_type() -> None:
    """Listening everywhere is no address; IPv6 stands in brackets."""
    assert Place("127.0.0.1", 8765).address == "http://127.0.0.1:8765"
    assert Place("::1", 80, Path("x.pem")).address == "https://[::1]:80"
    assert "0.0.0.0" not in Place("0.0.0.0", 8765).address
