"""Forecasts between processes: the shelf in the shop folder, and the daemon that keeps it fresh."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from intake.durable import write_whole
from intake.naming import in_log
from tickets.lookup.shelf import has_lots, mark_books

if TYPE_CHECKING:
    from intake.shop import Shop
    from tickets.lookup.shelf import BooksMark

_log = logging.getLogger(__name__)
NAME = "forecast.json"
MOST_BYTES = 4_000_000  # of 4,000 orders, ten times over
MANY_LOTS = 400  # of open orders; with fewer a forecast is made faster than anybody would notice
_REST, _REST_SECONDS = 9.0, 20.0  # of so many times what it took, and so long at least: a tenth of one core
_AGE = timedelta(minutes=5)  # of a forecast, after which it is made anew although nothing was booked
_CHILD_SECONDS = 120.0  # after which a child that makes one is given up
_NICER = 10  # it takes what others leave of the processor


@dataclass(frozen=True, slots=True)
class FolderShelf:
    """One forecast in a file that can be made again: read as it is, written whole."""

    path: Path

    def read(self) -> bytes:
        """What is there; b"" when nothing is."""
        try:
            with self.path.open("rb") as file:
                content = file.read(MOST_BYTES + 1)
        except OSError:
            return b""
        return content if len(content) <= MOST_BYTES else b""

    def write(self, content: bytes) -> None:
        """In place of what was; where it can't be written the next one makes it again."""
        try:
            write_whole(self.path, content)
        except OSError as error:
            _log.debug("event=forecast-not-kept path=%s why=%s", in_log(str(self.path)), in_log(str(error)))


def put_forecast(shop: Shop) -> None:
    """Make the forecast of a shop in this process and put it on the shelf."""
    from tickets.lookup.fresh import foresee, put_on_shelf  # numpy comes with it

    put_on_shelf(
        shop.shelf, shop.settings, foresee(shop.store, shop.settings, shop.clock(), shelf=shop.shelf)
    )


def put_forecast_aside(shop: Shop) -> None:
    """The same in a child process: what a thousand open orders take of memory is given back when it ends.

    Raises OSError or subprocess.SubprocessError when it cannot be run, fails, or takes too long.
    """
    subprocess.run(
        [sys.executable, "-m", "intake.forecasts", str(shop.folder)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        timeout=_CHILD_SECONDS,
        check=True,
        creationflags=getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0),
    )


class Forecaster:
    """Has the forecast of a shop with much work made anew when something was booked, with rests between."""

    def __init__(
        self,
        shop: Shop,
        monotonic: Callable[[], float] = time.monotonic,
        make: Callable[[Shop], None] = put_forecast_aside,
    ) -> None:
        self._shop, self._monotonic, self._make = shop, monotonic, make
        self._made_of: BooksMark | None = None
        self._made_at = datetime.min.replace(tzinfo=UTC)
        self._rest_until = float("-inf")

    def keep_fresh(self) -> bool:
        """Whether a forecast was made and put on the shelf now."""
        shop, start = self._shop, self._monotonic()
        if start < self._rest_until:
            return False
        self._rest_until = start + _REST_SECONDS
        now = shop.clock()
        books = mark_books(shop.store)
        if books == self._made_of and now - self._made_at < _AGE:
            return False
        if not has_lots(shop.store, MANY_LOTS):
            return False
        self._make(shop)
        self._made_of, self._made_at = books, now
        self._rest_until = self._monotonic() + max(_REST_SECONDS, _REST * (self._monotonic() - start))
        return True


def main(folder: str) -> None:
    """What the child does."""
    from intake.shop import open_shop

    if hasattr(os, "nice"):
        os.nice(_NICER)
    with open_shop(Path(folder)) as shop:
        put_forecast(shop)


if __name__ == "__main__":
    main(sys.argv[1])
