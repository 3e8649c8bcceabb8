"""One daemon a shop folder: the second one is told who is at work already."""

from __future__ import annotations

import contextlib
import os
import socket
from collections.abc import Iterator

from filelock import FileLock, Timeout

from intake.durable import write_whole
from intake.shop import Shop
from tickets.problems import SetupProblem

LOCK_FILE = ".filmdocket.lock"
HOLDER_FILE = ".filmdocket.holder"  # apart from the lock: Windows lets nobody read a locked file


def holder_name() -> str:
    """This machine and process, as heartbeat and lock name them."""
    return f"{socket.gethostname()}, process {os.getpid()}"


@contextlib.contextmanager
def only_one(shop: Shop) -> Iterator[str]:
    """Hold the shop folder for this process's life; the system lets go of it however the process ends.

    Yields the holder's name. Raises SetupProblem `already-watching`; on PostgreSQL ShopProblem `intake-
    elsewhere`.
    """
    lock = FileLock(shop.folder / LOCK_FILE, timeout=0)
    try:
        lock.acquire()
    except Timeout as error:
        raise SetupProblem(
            "already-watching",
            f"Another filmdocket takes in the files of {shop.folder}: {_holder(shop)}.",
            "Stop that one first, or leave the work to it.",
        ) from error
    try:
        with shop.store.intake_lock():
            me = holder_name()
            write_whole(shop.folder / HOLDER_FILE, f"{me}, since {shop.clock().isoformat()}\n".encode())
            yield me
    finally:
        lock.release()


def _holder(shop: Shop) -> str:
    try:
        return (shop.folder / HOLDER_FILE).read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return "its name is not known"
