"""A worker for tests that does what the job's name says: crash, hang, eat memory, lie, try the network."""

from __future__ import annotations

import ctypes
import dataclasses
import mmap
import os
import socket
import time

from intake.facts import Finding, Level, Preflight, Verdict
from intake.preflight import PreflightJob
from intake.sandbox.worker import serve


def answer(job: PreflightJob) -> Preflight:
    """Do what the name says; names without a meaning get a plain answer."""
    deeds = {
        "abort": os.abort,
        "segfault": lambda: ctypes.string_at(0),
        "leave": lambda: os._exit(3),
        "hang": _hang,
        "spin": _spin,
        "toil": _toil,
        "eat": _eat,
        "eat-shared": _eat_shared,
        "babble": _babble,
        "fault": _fault,
    }
    if job.name in deeds:
        deeds[job.name]()
    plain = Preflight(
        file=job.name,
        verdict=Verdict.QUERY,
        print_mm=(90.0, 81.4),
        measures={"kind": "PNG", "pixels": [3, 2], "pid": os.getpid(), "network": _try_network()},
        findings=(Finding("line-width", Level.QUERY, "Thin — très fin.", "Thicken it.", 0.21, 0.3, "mm"),),
        picture_png=b"\x89PNG\r\n\x1a\nrest",
    )
    if job.name == "lie":
        return dataclasses.replace(plain, measures={"ppi": {"no": "list"}})
    if job.name == "no-picture":
        return dataclasses.replace(plain, picture_png=b"GIF89a")
    return plain


def _hang() -> None:
    while True:
        time.sleep(0.01)


def _spin() -> None:
    while True:
        pass


def _toil() -> None:
    """Half a second of processor time."""
    end = time.process_time() + 0.5
    while time.process_time() < end:
        pass


def _eat() -> None:
    held = []
    while True:
        held.append(bytearray(10 << 20))


def _eat_shared() -> None:
    """Shared memory, which the limit on private memory does not count."""
    held = []
    for _ in range(40):
        block = mmap.mmap(-1, 20 << 20)
        block.write(b"x" * (20 << 20))
        held.append(block)
    _hang()


def _babble() -> None:
    print("a library prints to standard output", flush=True)  # noqa: T201 - that is the deed
    os.write(1, b"\xff" * 100)


def _fault() -> None:
    raise KeyError("a bug")


def _try_network() -> str:
    try:
        socket.socket(socket.AF_INET, socket.SOCK_STREAM).close()
    except OSError as error:
        return f"refused {error.errno}"
    return "open"


if __name__ == "__main__":
    serve(answer, load=lambda: None)
