"""A small real shop for tests of the intake: folder, books, and rounds on a clock turned by hand."""

from __future__ import annotations

import io
import json
import shutil
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from struct import pack
from typing import Any

from intake.inbox.rounds import Memory, Round
from intake.pipeline import run_round
from intake.shop import Shop, open_shop
from tickets.lookup import list_arrivals, list_orders, unchecked_items
from tickets.requests import Judgement

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


def png(shade: int = 16, side: int = 8) -> bytes:
    """A whole, tiny PNG of one colour; another shade is another file."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return pack(">I", len(content)) + kind + content + pack(">I", zlib.crc32(kind + content))

    header = pack(">IIBBBBB", side, side, 8, 6, 0, 0, 0)
    rows = (b"\0" + bytes((shade, 33, 63, 255)) * side) * side
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def order(number: str = "OB-1", artwork: str = "crest.png", **changes: Any) -> dict[str, Any]:
    """An order of one item, as plain values; `changes` are keys of the order itself."""
    return {
        "order": number,
        "customer": {"name": "Otter Bank Rowing Club"},
        "items": [{"artwork": artwork, "width_mm": 90, "quantity": 4}],
        **changes,
    }


def as_file(document: Mapping[str, Any]) -> bytes:
    """An order as the bytes of its file."""
    return json.dumps(document).encode()


def zipped(**files: bytes) -> bytes:
    """A zip of these files; `__` in a name stands for its dot."""
    import zipfile

    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name.replace("__", "."), content)
    return buffer.getvalue()


@dataclass
class Bench:
    """A shop whose intake is driven round by round; `now` is the daemon's monotonic clock in seconds."""

    folder: Path
    shop: Shop
    memory: Memory = field(default_factory=Memory)
    now: float = 1000.0
    wall: datetime = NOON
    is_hasty: bool = False

    @property
    def inbox(self) -> Path:
        """Where tests drop files."""
        return self.shop.inbox

    def drop(self, name: str, content: bytes) -> Path:
        """Put a file into the inbox, with the folders that its name has."""
        path = self.inbox / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        return path

    def round(self, seconds: float = 0.0) -> Round:
        """One round, so many seconds after the last one."""
        self.now += seconds
        self.wall += timedelta(seconds=seconds)
        done = Round(self.shop, self.memory, self.now, is_hasty=self.is_hasty)
        run_round(done)
        return done

    def settle(self, seconds: float = 3.0) -> None:
        """Two looks, far enough apart for everything to have settled."""
        self.round()
        self.round(seconds)

    def judge(self, verdict: str = "clear") -> None:
        """Book the same answer about every artwork that is to be checked."""
        for item in unchecked_items(self.shop.store):
            finding = {"check": "line-width", "level": verdict, "says": "thin", "do": "thicken"}
            findings = () if verdict == "clear" else (finding,)
            slug = "line-width" if verdict == "refuse" else ""
            self.shop.ledger.book_judgement(
                Judgement(item.item_id, item.revision, verdict, 90.0, 90.0, findings, {}, slug)
            )
        self.memory.asked.clear()

    def restart(self) -> None:
        """As after a death of the daemon: only books and folders are left."""
        self.memory = Memory.recalled(self.shop)
        self.now += 100_000.0

    def files(self) -> dict[str, dict[str, Any]]:
        """What `inbox --json` says of each path, the newest of it."""
        rows = list_arrivals(self.shop.store, None).as_json()["files"]
        return {row["path"]: row for row in reversed(rows)}

    def standing(self, path: str) -> str:
        """What a file stands as in the list, with its slug where it has one."""
        row = self.files()[path]
        return str(row["standing"]) + (f" {row['slug']}" if row["slug"] else "")

    def numbers(self) -> list[str]:
        """The orders in the books."""
        found = list_orders(self.shop.store, self.shop.settings)
        return sorted(str(answer.as_json()["order"]) for answer in found)

    def lying(self) -> list[str]:
        """What lies in the inbox, the shop's own files apart."""
        found = (p for p in self.inbox.rglob("*") if p.is_file() and not p.name.startswith(".filmdocket"))
        return sorted(str(p.relative_to(self.inbox)) for p in found)


def make_bench(template: Path, folder: Path, settings: str = "") -> Bench:
    """A shop in `folder` with further lines for its shop.toml; to be closed with `bench.shop.close()`.

    `template` is a shop that `make_shop` made: copying it is faster than making the tables each time.
    """
    shutil.copytree(template, folder)
    toml = folder / "shop.toml"
    toml.write_text(settings or "[shop]\n", encoding="utf-8")
    bench: Bench

    def clock() -> datetime:
        return bench.wall

    shop = open_shop(folder, clock)
    bench = Bench(folder, shop)
    bench.memory = Memory.recalled(shop)
    return bench
