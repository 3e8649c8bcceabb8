"""Parcels of an order, with weights and consignment numbers; and the shelf that what is ready lies on."""

from __future__ import annotations

from typing import Any

from sqlmodel import col, func, select

from tickets import wording_parcels as wording
from tickets.ledger.books import Books
from tickets.ledger.inserting import insert_or_update, insert_unless_there
from tickets.ledger.opening import OpenOrder, find_named, open_order
from tickets.ledger.packing import last_dispatch
from tickets.ledger.telling import tell_consignment
from tickets.models_packing import Dispatch, DispatchScan, Parcel, Shelf, SsccSerial
from tickets.parcels import HEAVIEST_G
from tickets.places import DISPATCHED
from tickets.requests import ParcelChange, ParcelMade
from tickets.search.index import index_order
from tickets.sscc import make_sscc

LONGEST_CONSIGNMENT = 60  # characters
LONGEST_PLACE = 60


def add_parcel(books: Books, number: str, asked: ParcelChange, by: str) -> ParcelMade:
    """Note one parcel of an order, for its last dispatch if that has just left or left none, else the next.

    Where the shop has a GS1 company prefix, it gets a serial shipping container code. Raises NotFound
    `code-not-known`, ShopProblem `parcel-of-an-order`, `nothing-to-pack`, `bad-weight`, `bad-consignment`,
    `sscc-used-up`.
    """
    opened = _open(books, number)
    _require_fit(asked)
    if not any(now.waiting or now.at(DISPATCHED) for now in opened.tickets_now()) and not opened.unissued:
        raise wording.nothing_to_pack(opened.order.number)
    dispatch = _goes_with(books, opened)
    highest = books.session.exec(
        select(func.max(col(Parcel.number))).where(Parcel.order_id == opened.id)
    ).one()
    parcel = Parcel(
        order_id=opened.id,
        dispatch_id=dispatch.id if dispatch else None,
        number=(highest or 0) + 1,
        weight_g=asked.weight_g,
        consignment=asked.consignment or "",
        sscc=_next_sscc(books),
        by=by,
        at=books.now,
    )
    books.session.add(parcel)
    _follow_up(books, opened, parcel, "parcel-added", by)
    _tell(books, opened, parcel)
    slip = dispatch.number if dispatch else None
    says = wording.parcel_added(opened.order.number, parcel.number, parcel.sscc, slip)
    return ParcelMade(opened.order.number, parcel.number, says)


def change_parcel(books: Books, number: str, at: int, asked: ParcelChange, by: str) -> ParcelMade:
    """Another weight or consignment number of a parcel; None leaves one as it is.

    Raises as `add_parcel`, and NotFound `no-such-parcel`, BadInput `nothing-to-change`.
    """
    opened = _open(books, number)
    _require_fit(asked)
    parcel = _parcel(books, opened, at)
    if asked.weight_g is None and asked.consignment is None:
        raise wording.nothing_to_change(opened.order.number, at)
    if asked.weight_g is not None:
        parcel.weight_g = asked.weight_g
    is_news = asked.consignment not in (None, parcel.consignment)
    if asked.consignment is not None:
        parcel.consignment = asked.consignment
    _follow_up(books, opened, parcel, "parcel-changed", by)
    if is_news:
        _tell(books, opened, parcel)
    return ParcelMade(opened.order.number, at, wording.parcel_changed(opened.order.number, at))


def remove_parcel(books: Books, number: str, at: int, by: str) -> ParcelMade:
    """A parcel that was noted by mistake or unpacked; its numbers are never given again.

    Raises as `change_parcel`.
    """
    opened = _open(books, number)
    parcel = _parcel(books, opened, at)
    parcel.removed_at = books.now
    _follow_up(books, opened, parcel, "parcel-removed", by)
    return ParcelMade(opened.order.number, at, wording.parcel_removed(opened.order.number, at, parcel.sscc))


def put_on_shelf(books: Books, number: str, place: str, by: str) -> str:
    """Note where what is ready of an order lies; "" takes it off. Returns the sentence.

    Raises NotFound `code-not-known`, ShopProblem `parcel-of-an-order`, `bad-shelf`.
    """
    opened = _open(books, number)
    if len(place) > LONGEST_PLACE:
        raise wording.bad_shelf(len(place), LONGEST_PLACE)
    shelf = Shelf(order_id=opened.id, place=place, by=by, at=books.now)
    changes = {"place": place, "by": by, "at": books.now}
    insert_or_update(books.session, shelf, ["order_id"], changes)
    books.note("shelved", opened.about_order(), by, place=place)
    return wording.shelved(opened.order.number, place)


def _open(books: Books, number: str) -> OpenOrder:
    named = find_named(books, number)
    if named.is_ticket or named.is_run:
        raise wording.parcel_of_an_order(number)
    return open_order(books, named.order_ids[0])


def _require_fit(asked: ParcelChange) -> None:
    if asked.weight_g is not None and not 0 < asked.weight_g <= HEAVIEST_G:
        raise wording.bad_weight(HEAVIEST_G)
    if len(asked.consignment or "") > LONGEST_CONSIGNMENT:
        raise wording.bad_consignment(len(asked.consignment or ""), LONGEST_CONSIGNMENT)


def _goes_with(books: Books, opened: OpenOrder) -> Dispatch | None:
    """The dispatch that a new parcel belongs to; None: the next one."""
    last = last_dispatch(books, opened.id)
    still_here = any(now.waiting for now in opened.tickets_now()) or opened.unissued
    return last if last is not None and (last.open_until > books.now or not still_here) else None


def _parcel(books: Books, opened: OpenOrder, number: int) -> Parcel:
    asked = select(Parcel).where(
        Parcel.order_id == opened.id, Parcel.number == number, col(Parcel.removed_at).is_(None)
    )
    found = books.session.exec(asked).first()
    if found is None:
        raise wording.no_such_parcel(opened.order.number, number)
    return found


def _follow_up(books: Books, opened: OpenOrder, parcel: Parcel, kind: str, by: str) -> None:
    """What a change of a parcel makes due: the history, the search, and a slip that is printed anew."""
    books.session.flush()
    told: dict[str, Any] = {"weight_g": parcel.weight_g, "consignment": parcel.consignment}
    books.note(kind, opened.about_order(), by, parcel=parcel.number, sscc=parcel.sscc, **told)
    index_order(books.session, opened.order)
    dispatch = _dispatch_of(books, parcel)
    if dispatch is not None:
        dispatch.revision, dispatch.is_papered = dispatch.revision + 1, False


def _tell(books: Books, opened: OpenOrder, parcel: Parcel) -> None:
    """The customer hears of a consignment number that comes after they heard of the dispatch."""
    dispatch = _dispatch_of(books, parcel)
    if parcel.consignment and dispatch is not None and not dispatch.collected_by:
        asked = select(DispatchScan.scan_id).where(DispatchScan.dispatch_id == dispatch.id)
        tell_consignment(books, opened.id, dispatch.number, list(books.session.exec(asked)))


def _dispatch_of(books: Books, parcel: Parcel) -> Dispatch | None:
    return books.session.exec(select(Dispatch).where(Dispatch.id == parcel.dispatch_id)).first()


def _next_sscc(books: Books) -> str:
    """The next serial shipping container code of the shop; "" where it has no GS1 company prefix."""
    packing = books.settings.packing
    prefix = packing.gs1_company_prefix
    if not prefix:
        return ""
    key = f"{packing.sscc_extension}{prefix}"
    insert_unless_there(books.session, SsccSerial(prefix=key, next_serial=packing.sscc_first), ["prefix"])
    # Locked on PostgreSQL until this parcel is booked; on SQLite the writer has all.
    asked = select(SsccSerial).where(SsccSerial.prefix == key).with_for_update()
    kept = books.session.exec(asked.execution_options(populate_existing=True)).one()
    serial = max(kept.next_serial, packing.sscc_first)
    kept.next_serial = serial + 1
    return make_sscc(packing.sscc_extension, prefix, serial)
