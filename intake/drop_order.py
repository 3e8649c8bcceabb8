"""From what was typed on the drop page to an ordinary order, and its way into the inbox."""

from __future__ import annotations

import json
import os
import re
import secrets
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from intake.durable import make_folder, sync_folder
from intake.inbox.listing import OWN, look_at_marker
from intake.naming import safe_name
from intake.order import read_order
from intake.order.fields import LEAST_MM, MOST_MM, MOST_PIECES, expand_pages
from intake.shop import Shop
from tickets import wording_drop as wording
from tickets.problems import BadInput, NotFound
from tickets.web.drops import SHIPPED, Draft, DraftItem

if TYPE_CHECKING:
    from intake.drafts import ShopDrops


class ItemRefused(BadInput):
    """A field of an item that is missing or cannot be read."""


def order_document(shop: Shop, draft: Draft) -> dict[str, Any]:
    """The order file that the draft says.

    Raises BadInput `drop-incomplete` with all that is missing, OrderRefused as reading an order does.
    """
    wrong = [] if draft.fields.get("customer") else [wording.LACKS_CUSTOMER]
    items = []
    for item in draft.items:
        try:
            items.append(_item_document(item))
        except ItemRefused as refused:
            wrong.append(refused.says)
    number = draft.fields.get("order") or _new_number(shop)
    if _is_known(shop, number):
        wrong.append(wording.number_taken(number))
    fields = draft.fields
    address = [line.strip() for line in fields.get("ship_to", "").splitlines() if line.strip()]
    if bool(address) != (fields.get("handing") == SHIPPED):
        wrong.append(wording.COLLECTED_OR_SENT if address else wording.LACKS_ADDRESS)
    if wrong:
        raise BadInput("drop-incomplete", " ".join(wrong), wording.FILL_IN)
    customer = {"name": fields["customer"], "email": fields.get("email"), "phone": fields.get("phone")}
    document = {
        "order": number,
        "customer": {key: value for key, value in customer.items() if value},
        "purchase_order": fields.get("purchase_order"),
        "due": fields.get("due"),
        "service": fields.get("service") or "pressed",
        "rush": bool(fields.get("rush")),
        "ship_to": address,
        "allow_part_dispatch": bool(fields.get("part")),
        "items": items,
    }
    document = {key: value for key, value in document.items() if value not in ("", None, False, [])}
    read_order(json.dumps(document).encode(), shop.settings, shop.clock())
    return document


def _item_document(item: DraftItem) -> dict[str, Any]:
    """One item as the order file has it. Raises ItemRefused."""
    typed = item.fields
    width_mm, quantity = millimetres(item), _pieces(item)
    if width_mm is None:
        raise _refuse(item, wording.LACKS_WIDTH)
    if item.has_wrong_colour:
        raise _refuse(item, wording.LACKS_COLOUR)
    garment: dict[str, Any] = {
        "description": typed.get("garment"),
        "colour": item.colour,
        "fabric": typed.get("fabric"),
        "sizes": _sizes(item),
    }
    told: dict[str, Any] = {
        "artwork": item.artwork,
        "artwork_of": item.ref if item.source == "earlier" else "",
        "width_mm": width_mm,
        "quantity": quantity,
        "placement": typed.get("placement"),
        "garment": {key: value for key, value in garment.items() if value},
        "film": typed.get("film"),
        "pages": typed.get("pages"),
        "note": typed.get("note"),
        "mirrored": bool(typed.get("mirrored")),
    }
    return {key: value for key, value in told.items() if value}


def millimetres(item: DraftItem) -> float | None:
    """The width of the print; None when nothing was typed. Raises ItemRefused. A comma is a point."""
    typed = item.fields.get("width_mm", "").replace(",", ".").removesuffix("mm").strip()
    if not typed:
        return None
    if not re.fullmatch(r"[0-9]{1,4}(\.[0-9]{1,3})?", typed) or not LEAST_MM <= float(typed) <= MOST_MM:
        raise _refuse(item, wording.LACKS_WIDTH)
    return float(typed)


def first_page(item: DraftItem) -> int | None:
    """The page that is looked at; None when no page was typed, or what names none."""
    try:
        return (expand_pages(item.fields.get("pages", "")) or (None,))[0]
    except ValueError:
        return None


def _pieces(item: DraftItem) -> int:
    typed = item.fields.get("quantity", "")
    if not typed.isascii() or not typed.isdecimal() or not 0 < int(typed) <= MOST_PIECES:
        raise _refuse(item, wording.LACKS_PIECES)
    return int(typed)


def _sizes(item: DraftItem) -> dict[str, int]:
    """Sizes as in "S 10, M 20"."""
    sizes = {}
    for part in item.fields.get("sizes", "").split(","):
        found = re.fullmatch(r"\s*(\S.*?)[\s:=]+([0-9]{1,6})\s*", part)
        if found:
            sizes[found[1]] = int(found[2])
        elif part.strip():
            raise _refuse(item, wording.LACKS_SIZES)
    return sizes


def _refuse(item: DraftItem, what: str) -> ItemRefused:
    return ItemRefused("drop-incomplete", wording.lacks(item.artwork, what), wording.FILL_IN)


def _new_number(shop: Shop) -> str:
    """A number that no order has: the day, and chance."""
    day = shop.clock().astimezone(shop.settings.shop.zone)
    while True:
        number = f"W{day:%y%m%d}-{secrets.token_hex(2).upper()}"
        if not _is_known(shop, number):
            return number


def _is_known(shop: Shop, number: str) -> bool:
    from tickets.lookup import order_answer

    try:
        order_answer(shop.store, shop.settings, number)
    except NotFound:
        return False
    return True


def fields_of_earlier(shop: Shop, order: str) -> dict[str, str]:
    """Whose an earlier order was, and where it was sent. Raises NotFound `order-not-known`."""
    from tickets.lookup import order_answer
    from tickets.lookup.packing import order_ship_to

    known = order_answer(shop.store, shop.settings, order)
    address = "\n".join(order_ship_to(shop.store, order))
    handing = {"handing": SHIPPED, "ship_to": address} if address else {}
    return {"customer": known.customer, "email": known.email or "", "phone": known.phone or "", **handing}


def items_of_earlier(shop: Shop, order: str) -> list[DraftItem]:
    """The items of an earlier order as items of a new one."""
    from tickets.lookup.items import items_of

    return [
        DraftItem(
            key=secrets.token_hex(4),
            artwork=item.artwork,
            source="earlier",
            ref=order,
            sha256=item.artwork_sha256,
            fields={
                "width_mm": f"{item.print_mm[0]:g}" if item.print_mm else "",
                "quantity": str(item.quantity),
                "placement": item.placement,
                "garment": item.garment,
                "colour": item.garment_colour,
                "fabric": item.fabric,
                "sizes": ", ".join(f"{size} {count}" for size, count in item.sizes.items()),
                "film": item.film,
                "pages": str(item.page or ""),
                "mirrored": "yes" if item.mirrored else "",
                "note": item.note,
            },
        )
        for item in items_of(shop.store, order)
    ]


def lay_into_inbox(drops: ShopDrops, draft: Draft, document: dict[str, Any]) -> Path:
    """Write the order, with the artwork that was sent, under a hidden name; then it appears at once whole.

    It lands in the folder of its customer; with artwork that lies in the inbox, beside that. Raises
    BadInput `drop-incomplete` for artwork of several folders, SetupProblem `inbox-gone`.
    """
    inbox = drops.shop.inbox
    look_at_marker(inbox)
    folders = {item.ref.rpartition("/")[0] for item in draft.items if item.source == "lying"}
    if len(folders) > 1:
        raise BadInput("drop-incomplete", wording.SEVERAL_FOLDERS, wording.ONE_EACH)
    place = inbox / (folders.pop() if folders else safe_name(document["customer"]["name"]))
    make_folder(place)
    sent = [item for item in draft.items if item.source == "sent"]
    aside = inbox / f"{OWN}drop-{secrets.token_hex(8)}"
    # Chance in the name: nothing that lies there can be written over.
    name = f"{_short(document['order'])}-{secrets.token_hex(3)}.{'zip' if sent else 'json'}"
    try:
        with aside.open("xb") as file:
            _write_order(file, document, {i.artwork: drops.art_path(draft, i) for i in sent})
            file.flush()
            os.fsync(file.fileno())
        aside.replace(place / name)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
    sync_folder(place)
    return place / name


def _write_order(file: BinaryIO, document: dict[str, Any], artworks: Mapping[str, Path]) -> None:
    """The order alone, or in a zip with its artwork, which is not packed smaller: most of it cannot be."""
    text = json.dumps(document, ensure_ascii=False, indent=1).encode()
    if not artworks:
        file.write(text)
        return
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as packed:
        packed.writestr("order.json", text)
        for name, path in artworks.items():
            packed.write(path, name)


def _short(number: str) -> str:
    return safe_name(number)[:60].rstrip(". ")
