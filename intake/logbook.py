"""The log: a line an event in key=value form, on stderr and in files of a limited size.

Whatever is logged while something is worked on (`about`) carries its order and item, a worker's end too.
"""

from __future__ import annotations

import contextlib
import logging
import logging.handlers
import sys
import time
from collections.abc import Iterator, Mapping
from contextvars import ContextVar
from pathlib import Path

from intake.naming import in_log

LOG_FILE = "filmdocket.log"
LARGEST_BYTES = 5_000_000
KEPT_FILES = 5
_ROOMS = ("intake", "tickets", "watchdog")


_subject: ContextVar[Mapping[str, str]] = ContextVar("_subject", default={})  # noqa: B039 never changed in place


@contextlib.contextmanager
def about(**subject: str | int) -> Iterator[None]:
    """Let each line that this thread logs meanwhile say what it is about: `order`, `item`, `path`, quoted."""
    words = {key: str(value) if isinstance(value, int) else in_log(value) for key, value in subject.items()}
    before = _subject.set({**_subject.get(), **words})
    try:
        yield
    finally:
        _subject.reset(before)


class Line(logging.Formatter):
    """`time=… level=… from=… event=…`, the time in UTC. Customers' words come quoted, see `naming.in_log`.

    One event is one line, its trace too: a trace shows an error's words, and these may be a customer's.
    """

    def __init__(self) -> None:
        super().__init__(
            "time=%(asctime)s.%(msecs)03dZ level=%(levelname)s from=%(name)s %(message)s", "%Y-%m-%dT%H:%M:%S"
        )
        self.converter = time.gmtime

    def format(self, record: logging.LogRecord) -> str:
        """The line, with what it is about unless it says that itself, and the trace quoted at its end."""
        record.message, record.asctime = record.getMessage(), self.formatTime(record, self.datefmt)
        line = self.formatMessage(record)
        said = {key: word for key, word in _subject.get().items() if f" {key}=" not in line}
        line += "".join(f" {key}={word}" for key, word in said.items())
        return f"{line} trace={in_log(self.formatException(record.exc_info))}" if record.exc_info else line


class _LogFile(logging.handlers.RotatingFileHandler):
    """A log file that a full or lost disk may stop: the work goes on, stderr tells, later lines try again."""

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: ARG002 the standard library's signature
        """Let go of the file; the next line opens it anew."""
        stream = self.stream
        self.stream = None
        if stream is not None:
            with contextlib.suppress(OSError):
                stream.close()

    def close(self) -> None:
        """What could not be written by now is lost, and no reason to fail."""
        with contextlib.suppress(OSError):
            super().close()


@contextlib.contextmanager
def kept_log(folder: Path) -> Iterator[None]:
    """Write what happens to stderr and to `filmdocket.log` in the shop folder, as long as this lasts."""
    to_file = _LogFile(
        folder / LOG_FILE,
        maxBytes=LARGEST_BYTES,
        backupCount=KEPT_FILES,
        encoding="utf-8",
        errors="backslashreplace",
        delay=True,
    )
    handlers: list[logging.Handler] = [to_file, logging.StreamHandler(sys.stderr)]
    rooms = [logging.getLogger(name) for name in _ROOMS]
    for handler in handlers:
        handler.setFormatter(Line())
    for room in rooms:
        room.setLevel(logging.WARNING if room.name == "watchdog" else logging.INFO)
        for handler in handlers:
            room.addHandler(handler)
    try:
        yield
    finally:
        for room in rooms:
            for handler in handlers:
                room.removeHandler(handler)
        to_file.close()
