"""Taking orders: exactly once by their number; the same again is a duplicate, another under it a conflict."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlmodel import col, select

from tickets import wording_books as wording
from tickets.ledger.arrivals import write_arrival
from tickets.ledger.books import About, Books
from tickets.ledger.inserting import insert_unless_there
from tickets.ledger.moving import settle_order
from tickets.ledger.opening import OpenOrder, open_order, open_orders, row_id
from tickets.ledger.telling import tell_received
from tickets.models import Event, Item, Order, Original, Revision
from tickets.requests import ArrivalNote, ItemDraft, OrderDraft, RepairedArtwork, Taken
from tickets.search.index import index_order
from tickets.search.terms import phone_digits
from tickets.standing import ACCEPTED, UNCHECKED

MAY_BE_REVISED = ("queried", "refused", UNCHECKED)  # nothing of these is printed before the next judgement


def take_order(
    books: Books, draft: OrderDraft, arrivals: Sequence[ArrivalNote], originals: Sequence[tuple[str, int]]
) -> Taken:
    """Book a dropped order, or say what it is instead; its arrivals are written as it came out."""
    for sha256, size in originals:
        keep_original(books, sha256, size)
    order = _order_row(books, draft)
    if insert_unless_there(books.session, order, ["number"]):
        taken = _take_new(books, draft)
    else:
        taken = _take_known(books, draft)
    for note in arrivals:
        write_arrival(books, _as_it_came_out(note, taken))
    return taken


def revise_artwork(books: Books, file: ArrivalNote, order_number: str | None) -> Taken | None:
    """New artwork dropped alone: a revision of every item of that name and folder that waits for one.

    None: no order in the books speaks of it, or only with these very bytes, or only one that is done with.
    `order_number` looks at one order only.
    """
    named = _items_named(books, file, order_number)
    orders = open_orders(books, named.values())
    found = [orders[order_id].items[item_id] for item_id, order_id in named.items()]
    waiting = [item for item in found if item.standing in MAY_BE_REVISED]
    new = [item for item in waiting if not _is_known(books, item, file.sha256)]
    at_work = [i for i in found if i.standing == ACCEPTED and not _is_known(books, i, file.sha256)]
    concerned = new or waiting or at_work
    if not concerned:
        return None
    keep_original(books, file.sha256, file.size)
    numbers = list(dict.fromkeys(orders[item.order_id].order.number for item in concerned))
    artwork = concerned[0].artwork
    if new:
        for opened in orders.values():
            _revise(books, opened, {row_id(i.id): file.sha256 for i in new if i.order_id == opened.id})
        outcome, says = "revised", wording.artwork_revised(artwork, numbers)
    elif waiting:
        outcome, says = "duplicate", wording.artwork_again(artwork, numbers)
    else:
        has_begun = any(_has_begun(books, orders[i.order_id], i) for i in at_work)
        outcome, says = "conflict", wording.artwork_conflict(numbers, artwork, has_begun)
    taken = Taken(outcome, numbers[-1], concerned[-1].order_id, says)
    write_arrival(books, _as_it_came_out(file, taken))
    return taken


def repair_artwork(books: Books, opened: OpenOrder, item: Item, repaired: RepairedArtwork, by: str) -> None:
    """The shop's own repair as a new revision of a queried item: it is checked anew, the original is kept.

    A repaired page of a document is a picture of its own: the item names no page any longer.
    """
    keep_original(books, repaired.sha256, repaired.size)
    first = _repaired_from(books, item) or item.artwork_sha256
    page, item.page = item.page, None
    told = {"repairs": list(repaired.repairs), "repaired_from": first, "page": page}
    _revise(books, opened, {row_id(item.id): repaired.sha256}, by, told)


def resize(books: Books, opened: OpenOrder, item: Item, size_mm: tuple[float, float], by: str) -> None:
    """Another print size that the customer agreed to: the same artwork is checked anew at it."""
    was = [item.print_width_mm, item.print_height_mm]
    item.ordered_width_mm, item.ordered_height_mm = size_mm
    told = {"resized_mm": list(size_mm), "was_mm": was, "repaired_from": _repaired_from(books, item)}
    _revise(books, opened, {row_id(item.id): item.artwork_sha256}, by, told)


def _is_known(books: Books, item: Item, sha256: str) -> bool:
    """Whether these bytes are an item's artwork, or what the shop has repaired it from."""
    return item.artwork_sha256 == sha256 or _repaired_from(books, item) == sha256


def _repaired_from(books: Books, item: Item) -> str | None:
    """The customer's own artwork behind an item that stands on a repair; None when it stands on none."""
    asked = (
        select(Event.payload)
        .where(Event.order_id == item.order_id, Event.item_id == item.id, Event.kind == "revised")
        .order_by(col(Event.id).desc())
    )
    last = books.session.exec(asked).first() if item.revision > 1 else None
    return last.get("repaired_from") if last else None


def keep_original(books: Books, sha256: str, size: int) -> None:
    """Remember bytes that are safe among the originals."""
    insert_unless_there(books.session, Original(sha256=sha256, size=size, stored_at=books.now), ["sha256"])


def note_arrivals(books: Books, notes: Sequence[ArrivalNote]) -> None:
    """Write what is known of files in the inbox; those whose bytes are safe are remembered as originals."""
    for note in notes:
        if note.sha256:
            keep_original(books, note.sha256, note.size)
        write_arrival(books, note)


def _take_new(books: Books, draft: OrderDraft) -> Taken:
    order = books.session.exec(select(Order).where(Order.number == draft.number)).one()
    order_id = row_id(order.id)
    items = [_item_row(order_id, number, item) for number, item in enumerate(draft.items, start=1)]
    books.session.add_all(items)
    books.session.flush()
    for item in items:
        books.session.add(_revision_row(books, item))
    index_order(books.session, order, items)
    artworks = [[i.number, i.artwork, i.artwork_sha256, i.quantity] for i in items]
    books.note("taken", About(order_id), document_sha256=draft.document_sha256, items=artworks)
    tell_received(books, order_id)
    return Taken("taken", draft.number, order_id, wording.order_taken(draft.number, len(items)))


def _take_known(books: Books, draft: OrderDraft) -> Taken:
    known = select(Order.id).where(Order.number == draft.number)
    opened = open_order(books, row_id(books.session.exec(known).one()))
    if opened.order.document_sha256 != draft.document_sha256:
        return Taken("conflict", draft.number, opened.id, wording.order_conflict(draft.number))
    dropped = dict(enumerate(draft.items, start=1))
    changed = {
        key: dropped[item.number].artwork_sha256
        for key, item in opened.items.items()
        if item.number in dropped and not _is_known(books, item, dropped[item.number].artwork_sha256)
    }
    if not changed:
        return Taken("duplicate", draft.number, opened.id, wording.order_again(draft.number))
    at_work = [opened.items[key] for key in changed if opened.items[key].standing not in MAY_BE_REVISED]
    if at_work:
        has_begun = any(_has_begun(books, opened, item) for item in at_work)
        says = wording.artwork_conflict([draft.number], at_work[0].artwork, has_begun)
        return Taken("conflict", draft.number, opened.id, says)
    _revise(books, opened, changed)
    artworks = ", ".join(dict.fromkeys(opened.items[key].artwork for key in changed))
    return Taken("revised", draft.number, opened.id, wording.artwork_revised(artworks, [draft.number]))


def _revise(
    books: Books, opened: OpenOrder, changed: dict[int, str], by: str = "", also: dict[str, Any] | None = None
) -> None:
    """Give items new artwork: they are checked anew; what was found and answered belongs to the old."""
    for key, sha256 in changed.items():
        item = opened.items[key]
        was = item.standing
        item.revision += 1
        item.artwork_sha256 = sha256
        item.standing = UNCHECKED
        item.findings, item.measures, item.refused_slug = [], {}, ""
        item.released_by, item.released_note = "", ""
        books.session.add(_revision_row(books, item))
        about = opened.about_item(item)
        told: dict[str, Any] = {"revision": item.revision, "sha256": sha256, "was": was, **(also or {})}
        books.note("revised", about, by, standing=UNCHECKED, **told)
    settle_order(books, opened)


def _items_named(books: Books, file: ArrivalNote, order_number: str | None) -> dict[int, int]:
    """The row numbers of items of that artwork name from that folder, each with its order's.

    Those that may be revised, and those of open orders. What they stand as is looked at once they are locked.
    """
    asked = (
        select(Item.id, Item.order_id, Item.artwork)
        .join(Order)
        .where(
            Order.source_folder == file.folder,
            col(Item.standing).in_(MAY_BE_REVISED) | col(Order.closed_at).is_(None),
        )
        .order_by(col(Item.id))
    )
    if order_number is not None:
        asked = asked.where(Order.number == order_number)
    return {
        row_id(item_id): order_id
        for item_id, order_id, artwork in books.session.exec(asked)
        if name_as_ordered(artwork) == file.name_folded
    }


def name_as_ordered(artwork: str) -> str:
    """An artwork's name as arrivals keep it: composed (NFC) and case folded."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", artwork).casefold())


def _has_begun(books: Books, opened: OpenOrder, item: Item) -> bool:
    """Whether any piece of an item has left its first place, or lies in a film run."""
    first = books.route.first(item.service)
    return any(spot.place != first or spot.run for now in opened.tickets_of(item) for spot in now.lots)


_COME_OUT = {"duplicate": ("duplicate", ""), "conflict": ("conflict", "order-conflict")}


def _as_it_came_out(note: ArrivalNote, taken: Taken) -> ArrivalNote:
    """An arrival as it is to be written, now that it is known what became of its order."""
    if taken.outcome == "taken":
        return replace(note, order_number=taken.order)
    standing, slug = _COME_OUT.get(taken.outcome, (note.standing, note.slug))
    return replace(note, order_number=taken.order, standing=standing, slug=slug, says=taken.says)


def _order_row(books: Books, draft: OrderDraft) -> Order:
    return Order(
        number=draft.number,
        customer_name=draft.customer_name,
        customer_email=draft.customer_email,
        customer_phone=draft.customer_phone,
        phone_digits=phone_digits(draft.customer_phone),
        purchase_order=draft.purchase_order,
        due=draft.due,
        due_at=draft.due_at,
        service=draft.service,
        allow_part_dispatch=draft.allow_part_dispatch,
        rush=draft.rush,
        document=draft.document,
        document_sha256=draft.document_sha256,
        source_folder=draft.source_folder,
        taken_at=books.now,
    )


def _item_row(order_id: int, number: int, draft: ItemDraft) -> Item:
    return Item(
        order_id=order_id,
        number=number,
        artwork=draft.artwork,
        artwork_sha256=draft.artwork_sha256,
        page=draft.page,
        ordered_width_mm=draft.width_mm,
        ordered_height_mm=draft.height_mm,
        quantity=draft.quantity,
        service=draft.service,
        placement=draft.placement,
        garment=draft.garment,
        garment_colour=draft.garment_colour,
        fabric=draft.fabric,
        sizes=dict(draft.sizes),
        garment_set=draft.garment_set,
        film=draft.film,
        note=draft.note,
        mirrored=draft.mirrored,
        may_turn=draft.may_turn,
        order_queries=[dict(query) for query in draft.order_queries],
    )


def _revision_row(books: Books, item: Item) -> Revision:
    return Revision(
        item_id=row_id(item.id),
        number=item.revision,
        artwork=item.artwork,
        artwork_sha256=item.artwork_sha256,
        at=books.now,
    )
