"""Claiming a file: copied and hashed into `originals/`, synced, and only then recorded and cleared.

What a death leaves behind at each step, and what makes it good:

| step | left behind | made good by |
| --- | --- | --- |
| copying | a part in `originals/.tmp` | swept at the next start; the file still lies in the inbox |
| copied, not recorded | an original that no row names | it is claimed again: same bytes, same name |
| recorded, not cleared | a row, and the file in the inbox | by the row it is cleared, never taken again |
| set aside, not removed | a row, and the file in `.clearing` | its hash is compared again, then removed |
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import secrets
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from intake.durable import make_folder, sync_folder
from intake.faults import reach
from intake.inbox.listing import Entry
from intake.inbox.opening import opened_as_seen
from intake.shop import Shop
from tickets.problems import SetupProblem, ShopProblem

COPY_BYTES = 1 << 20
_FULL = (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC))


@dataclass(frozen=True, slots=True)
class Claimed:
    """Bytes that are safe in `originals/`: their SHA-256 and how many there are."""

    sha256: str
    size: int


def original_path(shop: Shop, sha256: str) -> Path:
    """Where an original lies: named by its whole hash, in a folder of the first two characters."""
    return shop.originals / sha256[:2] / sha256


def claim_file(shop: Shop, entry: Entry, pulse: Callable[[], None] = lambda: None) -> Claimed:
    """Make a file's bytes safe, as they were at the scan; the file itself is left where it is.

    `pulse` is called now and then, for large files. Raises Changed when the file is or becomes another one,
    SetupProblem `disk-full`, OSError when it cannot be read.
    """
    want_room(shop, entry.fingerprint.size)
    with _room_or_problem(shop):
        aside, claimed = None, None
        try:
            with opened_as_seen(shop.inbox, entry) as file:
                aside, claimed = _copy_aside(shop, file, pulse)
        except BaseException:
            if aside is not None:
                _remove(aside)
            raise
        _publish(shop, aside, claimed)
    reach("after-copy")
    return claimed


def keep_bytes(shop: Shop, file: BinaryIO, pulse: Callable[[], None] = lambda: None) -> Claimed:
    """Make the rest of a stream safe as an original: a file out of a zip. Raises as `claim_file`."""
    with _room_or_problem(shop):
        aside, claimed = _copy_aside(shop, file, pulse)
        _publish(shop, aside, claimed)
    return claimed


def want_room(shop: Shop, size: int) -> None:
    """See whether the disk holds the file twice beside the shop's reserve.

    Raises SetupProblem `disk-full` when the reserve is touched: then everything waits; ShopProblem
    `file-needs-room` when only this file is too large for what is left.
    """
    reserve = shop.settings.intake.min_free_mb * 1_000_000
    free = shutil.disk_usage(shop.folder).free
    if free < reserve:
        raise _disk_full(shop, f"{free // 1_000_000} MB are free, {reserve // 1_000_000} MB are wanted")
    if free < reserve + 2 * size:
        raise ShopProblem(
            "file-needs-room",
            f"The disk has no room for this file of {size // 1_000_000} MB: {free // 1_000_000} MB are free.",
            "Free some space; it is tried again by itself.",
        )


def _disk_full(shop: Shop, why: str) -> SetupProblem:
    return SetupProblem(
        "disk-full",
        f"The disk of {shop.folder} is full: {why}.",
        "Free some space; intake goes on by itself then, and what was dropped stays in the inbox.",
    )


@contextlib.contextmanager
def _room_or_problem(shop: Shop):  # type: ignore[no-untyped-def]
    try:
        yield
    except OSError as error:
        if error.errno in _FULL:
            raise _disk_full(shop, error.strerror or "no space left") from error
        raise


def _copy_aside(shop: Shop, file: BinaryIO, pulse: Callable[[], None]) -> tuple[Path, Claimed]:
    aside = shop.originals / ".tmp" / secrets.token_hex(12)
    make_folder(aside.parent)
    digest, size = hashlib.sha256(), 0
    try:
        with aside.open("xb") as copy:
            while piece := file.read(COPY_BYTES):
                digest.update(piece)
                copy.write(piece)
                size += len(piece)
                reach("copying")
                pulse()
            copy.flush()
            os.fsync(copy.fileno())
    except BaseException:
        _remove(aside)
        raise
    return aside, Claimed(digest.hexdigest(), size)


def _publish(shop: Shop, aside: Path, claimed: Claimed) -> None:
    place = original_path(shop, claimed.sha256)
    make_folder(place.parent)
    with contextlib.suppress(FileNotFoundError):
        if place.stat().st_size == claimed.size:
            _remove(aside)  # the same bytes came before
            return
        # An original of another length is a damaged one: the good copy takes its place.
    aside.chmod(0o444)
    aside.replace(place)
    sync_folder(place.parent)


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()


def sweep_unfinished(shop: Shop) -> None:
    """Remove what a dead daemon was copying; only to be called while holding the shop's lock."""
    for path in (shop.originals / ".tmp").glob("*"):
        _remove(path)
