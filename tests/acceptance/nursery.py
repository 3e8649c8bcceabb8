"""Daemons by the thousand: each is forked from a process that has imported everything, and so starts at once.

Only the imports are spared: it is a process of its own, runs `filmdocket watch` from its first line, starts
its own workers, and dies of SIGKILL as any other.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
from multiprocessing.process import BaseProcess
from pathlib import Path

from tests.acceptance.daemons import LIMIT_SECONDS

CAN_FORK = "forkserver" in multiprocessing.get_all_start_methods()
_IMPORTED = (
    *("intake.cli", "intake.daemon", "intake.papers", "intake.outbox", "intake.commands.floor"),
    *("intake.letters.writing", "intake.letters.sending", "tickets.migrations", "alembic.command"),
)


class Forked:
    """A daemon that was forked, with as much of `subprocess.Popen` as tests use."""

    def __init__(self, process: BaseProcess) -> None:
        self._process = process
        assert process.pid is not None
        self.pid = process.pid

    def poll(self) -> int | None:
        """Its exit status, or None while it lives."""
        return self._process.exitcode

    def send_signal(self, number: int) -> None:
        """As `kill` would; one that is dead already takes it well."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def kill(self) -> None:
        """End it at once."""
        self._process.kill()

    def wait(self, timeout: float = LIMIT_SECONDS) -> int:
        """Its exit status, once it is dead."""
        self._process.join(timeout)
        status = self._process.exitcode
        assert status is not None, f"process {self.pid} lives on"
        return status


def start(folder: Path, fault_point: str) -> Forked:
    """Fork a `filmdocket watch --shop FOLDER` that dies at a fault point, if one is named."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(list(_IMPORTED))
    process = context.Process(target=_watch, args=(str(folder), fault_point))
    process.start()
    return Forked(process)


def _watch(folder: str, fault_point: str) -> None:
    from intake.cli import main

    nowhere = os.open(os.devnull, os.O_RDWR)
    for number in (0, 1, 2):
        os.dup2(nowhere, number)
    os.environ["FILMDOCKET_FAULT_POINT"] = fault_point
    sys.exit(main(["watch", "--shop", folder]))
