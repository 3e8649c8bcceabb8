"""Drops files as customers do: slowly, half, in the wrong order, in sub-folders, in zip files."""

from __future__ import annotations

import io
import time
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from hotfolder_demo.scenario import CustomerOrder, Way

PIECES = 8  # a slow copy is written in so many pieces
HALF = 0.55  # of a half-copied file that is there


@dataclass
class Dropper:
    """Knows the inbox and the artwork, and what it still owes: the halves and files that come later."""

    inbox: Path
    artwork: Mapping[str, bytes]
    today: date
    seconds_a_file: float = 0.0
    owed: dict[str, tuple[Path, bytes]] = field(default_factory=dict)

    def drop(self, order: CustomerOrder) -> list[str]:
        """Drop one order in its own way; the paths in the inbox that came of it now."""
        folder = self.inbox / order.folder
        folder.mkdir(parents=True, exist_ok=True)
        order_file = f"{order.number}.json"
        if order.way is Way.ZIPPED:
            return [self._write(folder / f"{order.number}.zip", self._zip(order))]
        paths = []
        for item in order.items if order.way is not Way.NO_ARTWORK else ():
            content = self.artwork[item.artwork]
            target = folder / item.artwork
            if order.way is Way.ORDER_FIRST:
                self.owed[order.number] = (target, content)
                continue
            if order.way is Way.HALF_COPIED:
                there = int(len(content) * HALF)
                self.owed[order.number] = (target, content[there:])
                content = content[:there]
            paths.append(self._write(target, content))
        return [*paths, self._write(folder / order_file, order.as_file(self.today))]

    def bring_the_rest(self, order: CustomerOrder) -> str:
        """Finish the half-copied file, or bring the artwork that the order went ahead of; its path."""
        target, content = self.owed.pop(order.number)
        return self._write(target, content)

    def drop_bytes(self, name: str, content: bytes) -> str:
        """Drop something that is no order of the story."""
        return self._write(self.inbox / name, content)

    def _write(self, path: Path, content: bytes) -> str:
        """Append to a file piece by piece, as a copy over a slow network comes in."""
        step = max(1, -(-len(content) // PIECES))
        with path.open("ab") as file:
            for start in range(0, len(content), step):
                file.write(content[start : start + step])
                file.flush()
                time.sleep(self.seconds_a_file / PIECES)
        return path.relative_to(self.inbox).as_posix()

    def _zip(self, order: CustomerOrder) -> bytes:
        into = io.BytesIO()
        with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as packed:
            for item in order.items:
                packed.writestr(item.artwork, self.artwork[item.artwork])
            packed.writestr(f"{order.number}.json", order.as_file(self.today))
        return into.getvalue()
