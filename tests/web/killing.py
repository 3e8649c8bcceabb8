"""The real `filmdocket serve` in a process of its own, that can be killed at any moment and started again."""

from __future__ import annotations

import contextlib
import socket
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

from tests.web.browsers import wait_for


@dataclass
class Killable:
    """A server of one shop folder, always on the same port."""

    folder: Path
    more: tuple[str, ...] = ()
    port: int = field(init=False)
    _process: subprocess.Popen[bytes] | None = None

    def __post_init__(self) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])

    def start(self) -> None:
        """Start it, and wait until it takes connections."""
        words = [sys.executable, "-m", "intake.cli", "serve", "--shop", str(self.folder)]
        self._process = subprocess.Popen(
            [*words, "--port", str(self.port), *self.more],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        wait_for(self._is_listening)

    def kill(self) -> None:
        """As a power cut does: without a word, in the middle of whatever it does."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    def _is_listening(self) -> bool:
        assert self._process is not None
        assert self._process.poll() is None, "the server ended by itself"
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), timeout=1):
            return True
        return False
