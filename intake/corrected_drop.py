"""New artwork for a queried item, sent in from the queries page: into the inbox, for that order alone."""

from __future__ import annotations

import contextlib
import os
import secrets
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

from intake.durable import make_folder, sync_folder
from intake.inbox.claiming import want_room
from intake.inbox.listing import OWN, look_at_marker
from intake.inbox.zipping import note_for_order
from intake.naming import safe_name
from intake.shop import Shop
from tickets import wording_floor
from tickets.lookup import ticket_item
from tickets.lookup.items import ItemPage
from tickets.problems import BadInput
from tickets.standing import QUERIED


@contextlib.contextmanager
def corrected_artwork(shop: Shop, item: ItemPage) -> Iterator[Callable[[bytes], object]]:
    """Take a file piece by piece; whole, it appears in the folder that the item's order came from.

    It lies in a zip, under the name that the order has for it, with a note that it is for that order alone:
    another one that waits for artwork of that name is not touched. The zip has chance in its name: nothing
    that lies there can be written over. Raises BadInput `file-too-large`, `file-empty`, ShopProblem
    `nothing-to-repair` when nobody asks about the item any more, SetupProblem `disk-full`, `inbox-gone`.
    """
    found = ticket_item(shop.store, item.code)
    if found is None or found[1] != QUERIED:
        raise wording_floor.not_queried(item.code)
    look_at_marker(shop.inbox)
    aside = shop.inbox / f"{OWN}drop-{secrets.token_hex(8)}"
    try:
        with zipfile.ZipFile(aside, "x", zipfile.ZIP_STORED) as pack:
            pack.comment = note_for_order(item.order)
            with pack.open(item.artwork, "w", force_zip64=True) as into:
                counted = _Counted(shop, item.artwork, into.write)
                yield counted.write
        if not counted.came:
            raise BadInput("file-empty", f"The new {item.artwork} is empty.", "Choose another file.")
        _appear(shop.inbox / found[0].order.source_folder, aside, item.order)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise


class _Counted:
    """Writes what fits."""

    def __init__(self, shop: Shop, name: str, write: Callable[[bytes], object]) -> None:
        self._shop, self._name, self._write = shop, name, write
        self.came = 0

    def write(self, piece: bytes) -> None:
        """Raises BadInput `file-too-large`, SetupProblem `disk-full`."""
        self.came += len(piece)
        most = self._shop.settings.intake.largest_file_mb
        if self.came > most * 1_000_000:
            says = f"The new {self._name} is larger than {most} MB."
            raise BadInput("file-too-large", says, "Send it smaller.")
        want_room(self._shop, len(piece))
        self._write(piece)


def _appear(place: Path, aside: Path, order: str) -> None:
    with aside.open("rb+") as file:
        os.fsync(file.fileno())
    make_folder(place)
    short = safe_name(order)[:60].rstrip(". ")
    aside.replace(place / f"{short}-artwork-{secrets.token_hex(3)}.zip")
    sync_folder(place)
