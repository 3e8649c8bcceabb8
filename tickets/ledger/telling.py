"""What customers are to be told: booked with the thing that happened, in the same transaction, once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import CursorResult, update
from sqlmodel import col, select

from tickets import wording_telling as wording
from tickets.ledger.books import About, Books
from tickets.ledger.inserting import insert_unless_there
from tickets.ledger.opening import Named, OpenOrder, find_named, open_order
from tickets.models import Item, Scan
from tickets.models_telling import Telling
from tickets.order_facts import ItemFacts, TicketFacts
from tickets.standing import Pieces, Standing, order_standing
from tickets.wording_telling import HANDED_OVER, NO_ADDRESS


def tell_received(books: Books, order_id: int) -> None:
    """An order was taken."""
    _tell(books, order_id, "received", "", {})


def tell_released(books: Books, opened: OpenOrder, items: list[Item], note: str = "") -> None:
    """Questions about these items are answered; answers given soon after each other are told as one."""
    due = _due(books, opened.id, "released")
    numbers = [item.number for item in items]
    if due is not None:
        due.facts = {**due.facts, "items": sorted({*due.facts["items"], *numbers})}
        return
    about = "-".join(f"{item.number}r{item.revision}" for item in items)[:200]
    _tell(books, opened.id, "released", about, {"items": numbers, "note": note}, waits=True)


def tell_dispatched(books: Books, opened: OpenOrder, scan: Scan) -> None:
    """Pieces have left the house; scans soon after each other are one dispatch."""
    _withdraw(books, opened.id, "ready")
    due = _due(books, opened.id, "dispatched")
    if due is None or "slip" in due.facts:
        _tell(books, opened.id, "dispatched", str(scan.id), {"scans": [scan.id]}, waits=True)
    else:
        due.facts = {**due.facts, "scans": [*due.facts["scans"], scan.id]}
        due.due_at = _after_wait(books)


def tell_consignment(books: Books, order_id: int, slip: int, scans: list[int]) -> None:
    """Parcels of a dispatch have got consignment numbers; with the dispatch itself while that is not told."""
    asked = select(Telling).where(Telling.order_id == order_id, Telling.kind == "dispatched")
    told = [t for t in books.session.exec(asked) if set(t.facts["scans"]) & set(scans)]
    due = next((t for t in told if t.standing == "due"), None)
    if due is not None:
        due.due_at = _after_wait(books)
    elif told:
        count = sum(t.facts.get("slip") == slip for t in told) + 1
        facts = {"scans": scans, "slip": slip}
        _tell(books, order_id, "dispatched", f"slip-{slip}-numbers-{count}", facts, waits=True)


def untell_scan(books: Books, order_id: int, scan_id: int | None) -> None:
    """A scan was taken back before its dispatch, or the number of its parcels, was told."""
    asked = select(Telling).where(
        Telling.order_id == order_id, Telling.kind == "dispatched", Telling.standing == "due"
    )
    for due in books.session.exec(asked):
        scans = [scan for scan in due.facts["scans"] if scan != scan_id]
        due.facts = {**due.facts, "scans": scans}
        if not scans:
            due.standing = "withdrawn"


def settle_telling(books: Books, opened: OpenOrder) -> None:
    """After any change: whether the order is ready now, and what is due no more because nothing is left."""
    standing = _standing(opened)
    if standing is Standing.READY:
        _tell_ready(books, opened.id)
    else:
        _withdraw(books, opened.id, "ready")
    if standing is Standing.CANCELLED:
        for kind in ("received", "released", "late"):
            _withdraw(books, opened.id, kind)


def tell_late(books: Books, number: str, ready_at: datetime, why: str, by: str) -> str:
    """Tell a customer of a new day; only a later one than was told before is told again.

    Raises NotFound `code-not-known`, ShopProblem `not-late`, `nothing-to-hold` for an order that is done.
    """
    named: Named = find_named(books, number)
    opened = open_order(books, named.order_ids[0])
    order = opened.order
    if order.closed_at is not None or named.is_ticket or named.is_run:
        raise wording.nothing_is_late(number)
    if order.due_at is None or ready_at <= order.due_at:
        raise wording.not_late(number)
    asked = select(Telling).where(Telling.order_id == opened.id, Telling.kind == "late")
    told = [t for t in books.session.exec(asked) if t.standing != "withdrawn"]
    day = ready_at.astimezone(books.settings.shop.zone).date().isoformat()
    if any(t.facts["day"] >= day for t in told):
        return wording.late_told_before(number)
    _withdraw(books, opened.id, "late")
    _tell(books, opened.id, "late", day, {"day": day, "why": why, "by": by})
    return wording.late_is_told(number)


def note_told(books: Books, telling_id: int, file: str, address: str) -> None:
    """A message lies in the outbox, whole."""
    telling = books.session.exec(select(Telling).where(Telling.id == telling_id)).one()
    if telling.standing == "due":
        _write(books, telling, file, address, "" if address else NO_ADDRESS)


def note_query_told(
    books: Books, order_id: int, revisions: Mapping[int, int], file: str, address: str
) -> None:
    """The message with the artwork's questions lies in the outbox; its report marks hold it once."""
    about = "-".join(f"{item}r{revision}" for item, revision in sorted(revisions.items()))[:200]
    _tell(books, order_id, "query", about, {"revisions": {str(k): v for k, v in revisions.items()}})
    telling = _due(books, order_id, "query")
    if telling is not None:
        _write(books, telling, file, address, "" if address else NO_ADDRESS)


def hand_over(books: Books, telling_id: int) -> bool:
    """Before a message's end goes out: whether it is still to be sent. From now on it is unsure."""
    mine = update(Telling).where(col(Telling.id) == telling_id, col(Telling.standing) == "written")
    done = books.session.execute(mine.values(standing="unsure", says=HANDED_OVER))
    assert isinstance(done, CursorResult)
    return done.rowcount == 1


def note_sent(books: Books, telling_id: int) -> None:
    """The mail server has taken a message."""
    telling = books.session.exec(select(Telling).where(Telling.id == telling_id)).one()
    telling.standing, telling.sent_at, telling.says, telling.next_try_at = "sent", books.now, "", None
    books.note("mailed", About(telling.order_id), told=telling.kind)


def note_not_sent(books: Books, telling_id: int, says: str, next_try_at: datetime | None) -> None:
    """The mail server has surely not taken a message; None: it is not tried again."""
    telling = books.session.exec(select(Telling).where(Telling.id == telling_id)).one()
    if telling.standing not in ("written", "unsure"):
        return
    telling.standing = "written" if next_try_at else "failed"
    telling.tries, telling.says, telling.next_try_at = telling.tries + 1, says, next_try_at
    if next_try_at is None:
        books.note("not-mailed", About(telling.order_id), told=telling.kind, why=says)


def send_again(books: Books, telling_id: int, by: str) -> str:
    """Have a written message sent once more, whatever became of it before: somebody has looked.

    Raises NotFound `no-such-message`, ShopProblem `not-sent-by-mail` where none goes by mail here, or this
    one has no address.
    """
    telling = books.session.exec(select(Telling).where(Telling.id == telling_id).with_for_update()).first()
    if telling is None or telling.standing in ("due", "withdrawn"):
        raise wording.no_such_message(telling_id)
    if not books.settings.smtp.host or telling.kind not in books.settings.messages.send:
        raise wording.not_sent_by_mail(telling.kind)
    if not telling.address:
        raise wording.no_address(telling.kind)
    telling.standing, telling.tries, telling.says = "written", 0, ""
    telling.next_try_at, telling.written_at = books.now, books.now  # what it may take begins anew
    books.note("send-again", About(telling.order_id), by, told=telling.kind)
    return wording.is_sent_again(telling.kind, telling.address)


def _write(books: Books, telling: Telling, file: str, address: str, says: str) -> None:
    telling.standing, telling.file, telling.address, telling.says = "written", file, address, says
    telling.written_at = books.now
    if address and books.settings.smtp.host and telling.kind in books.settings.messages.send:
        # Else a person sends it, and a mail server that is set up later must not send it once more.
        telling.next_try_at = books.now
    if telling.kind != "query":  # of which the report's own event tells
        books.note("told", About(telling.order_id), told=telling.kind, file=file)


def _tell(
    books: Books, order_id: int, kind: str, about: str, facts: dict[str, Any], *, waits: bool = False
) -> None:
    due_at = _after_wait(books) if waits else books.now
    row = Telling(order_id=order_id, kind=kind, about=about, facts=facts, at=books.now, due_at=due_at)
    insert_unless_there(books.session, row, ["order_id", "kind", "about"])


def _tell_ready(books: Books, order_id: int) -> None:
    """Once, until it was dispatched: what becomes ready again after a slip is not told twice."""
    asked = select(Telling).where(
        Telling.order_id == order_id, col(Telling.kind).in_(("ready", "dispatched"))
    )
    told = sorted(books.session.exec(asked), key=lambda t: t.id or 0)
    standing = [t for t in told if t.standing != "withdrawn"]
    if standing and standing[-1].kind == "ready":
        return
    count = sum(t.kind == "ready" for t in told) + 1
    _tell(books, order_id, "ready", str(count), {}, waits=True)


def _due(books: Books, order_id: int, kind: str) -> Telling | None:
    asked = select(Telling).where(
        Telling.order_id == order_id, Telling.kind == kind, Telling.standing == "due"
    )
    return books.session.exec(asked).first()


def _withdraw(books: Books, order_id: int, kind: str) -> None:
    due = _due(books, order_id, kind)
    if due is not None:
        due.standing = "withdrawn"


def _after_wait(books: Books) -> datetime:
    return books.now + timedelta(seconds=books.settings.messages.wait_seconds)


def _standing(opened: OpenOrder) -> Standing:
    items = [_item_facts(opened, item).state for item in opened.items.values()]
    return order_standing(items, is_held=opened.order.held_why is not None)


def _item_facts(opened: OpenOrder, item: Item) -> ItemFacts:
    tickets = []
    for now in opened.tickets_of(item):
        if opened.tickets[now.code].withdrawn:
            continue
        places: dict[str, int] = {}
        for spot, count in now.lots.items():
            places[spot.place] = places.get(spot.place, 0) + count
        tickets.append(TicketFacts(now.code, 0, None, now.held_why, Pieces.at(places)))
    return ItemFacts(
        item.number,
        item.artwork,
        item.artwork_sha256,
        item.quantity,
        item.service,
        item.standing,
        tickets=tuple(tickets),
    )
