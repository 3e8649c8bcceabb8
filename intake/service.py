"""Telling a service manager how the daemon is: ready, alive, stopping, and what it does in words.

The protocol is that of sd_notify(3): a datagram of `NAME=value` lines to the socket named in `NOTIFY_SOCKET`.
Without such a manager, and on Windows, nothing is told to nobody.
"""

from __future__ import annotations

import contextlib
import socket
from dataclasses import dataclass

from config.settings import service_address


@dataclass
class ServiceManager:
    """Where the service manager listens, "" for nowhere; with `@` in front a name without a file (Linux)."""

    address: str
    is_ready: bool = False
    _told: str = ""

    def ready(self) -> None:
        """The daemon is at work: said once, after the first look at the inbox."""
        if not self.is_ready:
            self.is_ready = True
            self._send("READY=1")

    def alive(self, says: str) -> None:
        """Feed the watchdog, and say what the daemon does when that has changed."""
        words = " ".join(says.split())
        self._send("WATCHDOG=1", *([f"STATUS={words}"] if words != self._told else []))
        self._told = words

    def stopping(self) -> None:
        """The daemon finishes what is at hand and ends."""
        self._send("STOPPING=1")

    def _send(self, *lines: str) -> None:
        family = getattr(socket, "AF_UNIX", None)
        if not self.address or family is None:
            return
        address = "\0" + self.address[1:] if self.address.startswith("@") else self.address
        # A manager that does not listen is its own trouble, and never the shop's.
        with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as to:
            to.setblocking(False)
            to.sendto("\n".join(lines).encode(), address)


def find_service_manager() -> ServiceManager:
    """The service manager that started this process, if one did and asks to be told."""
    return ServiceManager(service_address())
