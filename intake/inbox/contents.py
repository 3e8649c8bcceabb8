"""What a settled file holds: an order, a broken one, a zip, artwork, or something not finished yet."""

from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from intake.inbox.claiming import Claimed, claim_file, original_path
from intake.inbox.ignoring import APPLE_DOUBLE
from intake.inbox.listing import Entry
from intake.inbox.opening import StillOpen, has_writer, opened_as_seen
from intake.inbox.zipping import Member, is_zip_name, order_noted, unpack
from intake.order import OrderDocument, read_order
from intake.order.text import CUT_SHORT, LARGEST_BYTES
from intake.reading.unfinished import looks_unfinished
from intake.shop import Shop
from tickets.problems import BadInput, OrderRefused

UNFINISHED = "artwork-unfinished"
TOO_LARGE = "file-too-large"
# Files refused for these stay in the inbox: whoever was copying them may go on, and then they are judged
# again.
STAYING = (UNFINISHED, CUT_SHORT, "zip-cut-short", "file-empty", TOO_LARGE)


@dataclass(frozen=True, slots=True)
class Unfinished:
    """Cut short, or empty so far: it gets time before it is refused. `slug` is that of the refusal then."""

    slug: str
    says: str
    do: str = "Copy it again, and wait until the copy has ended."


@dataclass(frozen=True, slots=True)
class Broken:
    """A file that can never be taken in as it is."""

    slug: str
    says: str
    do: str


@dataclass(frozen=True, slots=True)
class OrderFile:
    """A readable order; `sha256` is that of the file's bytes as they were read."""

    document: OrderDocument
    sha256: str
    size: int


@dataclass(frozen=True, slots=True)
class Artwork:
    """Anything else: an order may name it."""


@dataclass(frozen=True, slots=True)
class Ignored:
    """A file of the system's own, told by its contents."""

    rule: str


@dataclass(frozen=True, slots=True)
class Unpacked:
    """A zip whose members are all safe: its orders (readable or broken), and the other files."""

    claimed: Claimed
    orders: tuple[tuple[Member, OrderFile | Broken], ...]
    files: tuple[Member, ...]
    only_for: str = ""  # the one order that its artwork may correct; "" is any


Contents = OrderFile | Broken | Unfinished | Artwork | Ignored | Unpacked


def is_order_name(name: str) -> bool:
    """Whether a file is to be read as an order."""
    return name.lower().endswith(".json")


def read_contents(shop: Shop, entry: Entry, pulse: Callable[[], None]) -> Contents:
    """Look into a settled file of the inbox.

    Raises StillOpen when somebody writes it, Changed when it is another one by now, SetupProblem `disk-full`
    (a zip is unpacked into `originals/`), OSError when it cannot be read.
    """
    largest = shop.settings.intake.largest_file_mb
    if entry.fingerprint.size > largest * 1_000_000:
        return Broken(
            TOO_LARGE,
            f"The file has {entry.fingerprint.size // 1_000_000:,} MB; at most {largest:,} MB are taken in.",
            "Take it out of the inbox, or raise intake.largest_file_mb.",
        )
    if entry.fingerprint.size == 0:
        return Unfinished("file-empty", "The file is empty.")
    with opened_as_seen(shop.inbox, entry) as file:
        if has_writer(file.fileno()):
            raise StillOpen(entry.path)
        if is_order_name(entry.name):
            data = file.read(LARGEST_BYTES + 1)
            return read_order_bytes(shop, data)
        if file.read(len(APPLE_DOUBLE)) == APPLE_DOUBLE:
            return Ignored("this is the side file that a Mac writes beside another one")
        if not is_zip_name(entry.name):
            return _look_at_artwork(shop, entry, file)
    return _read_zip(shop, entry, pulse)


def read_order_bytes(shop: Shop, data: bytes) -> OrderFile | Broken | Unfinished:
    """The order in a file's bytes, or why there is none."""
    try:
        document = read_order(data, shop.settings, shop.clock())
    except OrderRefused as refused:
        if refused.slug == CUT_SHORT:
            return Unfinished(CUT_SHORT, refused.says)
        return Broken(refused.slug, refused.says, refused.do)
    return OrderFile(document, hashlib.sha256(data).hexdigest(), len(data))


def _look_at_artwork(shop: Shop, entry: Entry, file: BinaryIO) -> Unfinished | Artwork:
    # The very file that is open, where Linux can name it so: nobody can put another in its place meanwhile.
    by_number = Path(f"/proc/self/fd/{file.fileno()}")
    path = by_number if by_number.exists() else shop.inbox.joinpath(*entry.path.split("/"))
    why = looks_unfinished(path)
    return Unfinished(UNFINISHED, f"The file looks unfinished: {why}") if why else Artwork()


def _read_zip(shop: Shop, entry: Entry, pulse: Callable[[], None]) -> Unpacked | Broken | Unfinished:
    claimed = claim_file(shop, entry, pulse)
    archive = original_path(shop, claimed.sha256)
    if not zipfile.is_zipfile(archive):
        return Unfinished("zip-cut-short", "The zip has no end: it was cut short, or is no zip.")
    try:
        members = unpack(shop, archive, pulse)
    except BadInput as refused:
        return Broken(refused.slug, refused.says, refused.do)
    orders = [(m, _read_member(shop, m)) for m in members if is_order_name(m.name)]
    files = [m for m in members if not is_order_name(m.name)]
    return Unpacked(claimed, tuple(orders), tuple(files), order_noted(archive))


def _read_member(shop: Shop, member: Member) -> OrderFile | Broken:
    with original_path(shop, member.claimed.sha256).open("rb") as file:
        found = read_order_bytes(shop, file.read(LARGEST_BYTES + 1))
    # In a zip that is whole nothing more will come.
    return Broken(found.slug, found.says, found.do) if isinstance(found, Unfinished) else found
