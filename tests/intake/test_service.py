"""A service manager is told when the daemon is ready, that it is alive, and when it stops; or nobody is."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from config.settings import service_address
from intake.service import ServiceManager
from intake.shop import make_shop

if not hasattr(socket, "AF_UNIX"):
    pytest.skip("only on systems with sockets that are files", allow_module_level=True)


@pytest.fixture
def manager(tmp_path: Path) -> Iterator[socket.socket]:
    """A service manager's ear."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        ear.bind(str(tmp_path / "notify"))
        ear.settimeout(60.0)
        yield ear


def told(ear: socket.socket) -> list[str]:
    """The next message, in lines."""
    return ear.recv(4096).decode().splitlines()


def test_ready_is_said_once_and_status_when_it_changes(manager: socket.socket) -> None:
    """Line breaks in a status would be lines of the protocol, so there are none."""
    service = ServiceManager(manager.getsockname())
    service.ready()
    service.ready()
    service.alive("watching")
    service.alive("watching")
    service.alive("the disk\nREADY=0\nis full")
    service.stopping()
    assert [told(manager) for _ in range(5)] == [
        ["READY=1"],
        ["WATCHDOG=1", "STATUS=watching"],
        ["WATCHDOG=1"],
        ["WATCHDOG=1", "STATUS=the disk READY=0 is full"],
        ["STOPPING=1"],
    ]


@pytest.mark.skipif(sys.platform != "linux", reason="only on Linux are there names without a file")
def test_a_name_without_a_file_is_reached() -> None:
    """systemd may hand out an abstract name, written with `@`."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        ear.bind(f"\0filmdocket-test-{os.getpid()}")
        ear.settimeout(10.0)
        ServiceManager(f"@filmdocket-test-{os.getpid()}").ready()
        assert told(ear) == ["READY=1"]


@pytest.mark.parametrize("address", ["", "/nowhere/at/all", "x" * 300])
def test_a_manager_that_does_not_listen_disturbs_nothing(address: str) -> None:
    """Nobody there, nobody asked, or no such address."""
    service = ServiceManager(address)
    service.ready()
    service.alive("watching")
    service.stopping()


def test_a_manager_that_is_too_slow_keeps_nothing_waiting(manager: socket.socket) -> None:
    """Its queue is full: the news is dropped, the daemon works on."""
    service = ServiceManager(manager.getsockname())
    for at in range(2000):
        service.alive(f"{at} {'x' * 1000}")


def test_the_address_is_the_environments() -> None:
    """Read by the settings, as all of the environment."""
    assert service_address({"NOTIFY_SOCKET": "/run/x"}) == "/run/x"
    assert service_address({}) == ""


@pytest.mark.skipif(os.name == "nt", reason="only on systems with signals")
def test_the_real_daemon_tells_its_manager(manager: socket.socket, tmp_path: Path) -> None:
    """READY after the first look, the watchdog fed again and again, STOPPING on SIGTERM, exit 0."""
    make_shop(tmp_path / "shop")
    (tmp_path / "shop" / "shop.toml").write_text(
        "[intake]\nheartbeat_seconds = 0.2\nscan_seconds = 0.1\nmin_free_mb = 0\n[sandbox]\nworkers = 1\n"
    )
    daemon = subprocess.Popen(
        [sys.executable, "-m", "intake.cli", "watch", "--shop", str(tmp_path / "shop")],
        env={**os.environ, "NOTIFY_SOCKET": manager.getsockname()},
        stderr=subprocess.DEVNULL,
    )
    try:
        lines: list[str] = []
        while "READY=1" not in lines or lines.count("WATCHDOG=1") < 3:
            lines += told(manager)
        assert "STATUS=watching" in lines
        daemon.terminate()
        while "STOPPING=1" not in lines:
            lines += told(manager)
        assert daemon.wait(60) == 0
    finally:
        daemon.kill()
        daemon.wait()
