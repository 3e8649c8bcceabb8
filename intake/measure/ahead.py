"""Reads the next bands in a second thread while the last ones are measured."""

from __future__ import annotations

from collections.abc import Generator, Iterable
from queue import Queue
from threading import Event, Thread
from typing import TypeVar

T = TypeVar("T")


class _End:
    """What the reading thread leaves last: the fault that ended it, if any."""

    def __init__(self, fault: BaseException | None = None) -> None:
        self.fault = fault


def read_ahead(bands: Iterable[T], most: int = 2) -> Generator[T, None, None]:
    """Yield the same items, at most `most` of them read in advance; a fault of the source is raised here."""
    queue: Queue[T | _End] = Queue(most)
    enough = Event()

    def read() -> None:
        try:
            for band in bands:
                if enough.is_set():
                    return
                queue.put(band)
            queue.put(_End())
        except BaseException as fault:
            queue.put(_End(fault))

    reader = Thread(target=read, name="bands ahead", daemon=True)
    reader.start()
    try:
        while not isinstance(item := queue.get(), _End):
            yield item
        if item.fault is not None:
            raise item.fault
    finally:
        enough.set()
        while reader.is_alive():
            while not queue.empty():
                queue.get_nowait()
            reader.join(0.01)
