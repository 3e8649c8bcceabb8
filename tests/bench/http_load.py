"""Offering HTTP requests at a fixed pace from many kept connections, each timed from when it was due."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Sequence
from dataclasses import dataclass

STILL = 1.0  # seconds between opening the connections and the first request


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer: its status, and the seconds from the moment at which its request was due."""

    status: int
    seconds: float
    body: bytes


@dataclass(frozen=True, slots=True)
class Pace:
    """So many requests a second, over so many connections."""

    a_second: float
    connections: int


def request_bytes(method: str, path: str, headers: dict[str, str], body: bytes = b"") -> bytes:
    """One request of HTTP/1.1 on a kept connection."""
    lines = [f"{method} {path} HTTP/1.1", *(f"{name}: {value}" for name, value in headers.items())]
    if method != "GET":
        lines.append(f"Content-Length: {len(body)}")
    return ("\r\n".join(lines) + "\r\n\r\n").encode() + body


def offer(port: int, requests: Sequence[bytes], pace: Pace) -> list[Answered]:
    """Send them all to this machine's port; what is due is sent late only where its connection is still busy.

    The time of each counts from when it was due, so a server that falls behind cannot hide it.
    """
    return asyncio.run(_offer(port, requests, pace))


async def _offer(port: int, requests: Sequence[bytes], pace: Pace) -> list[Answered]:
    lines = [await asyncio.open_connection("127.0.0.1", port) for _ in range(pace.connections)]
    begin = time.perf_counter() + STILL
    answers: list[Answered | None] = [None] * len(requests)

    async def serve(line: int) -> None:
        reader, writer = lines[line]
        for at in range(line, len(requests), pace.connections):
            due = begin + at / pace.a_second
            await asyncio.sleep(max(0.0, due - time.perf_counter()))
            writer.write(requests[at])
            status, body = await _read(reader)
            answers[at] = Answered(status, time.perf_counter() - due, body)
        writer.close()

    await asyncio.gather(*(serve(line) for line in range(pace.connections)))
    return [answer for answer in answers if answer is not None]


async def _read(reader: asyncio.StreamReader) -> tuple[int, bytes]:
    head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1")
    status = int(head.split(" ", 2)[1])
    length = next(
        int(line.split(":", 1)[1]) for line in head.split("\r\n") if line.lower().startswith("content-length")
    )
    return status, await reader.readexactly(length)


def share(seconds: Sequence[float], part: float) -> float:
    """The time within which such a part of the answers came."""
    ordered = sorted(seconds)
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))]
