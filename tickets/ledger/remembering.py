"""Released queries that need not be asked again of the same art: a regular customer's known question."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlmodel import select

from tickets.ledger.books import Books
from tickets.ledger.inserting import insert_or_update
from tickets.models import Item, RememberedRelease


def remember_release(books: Books, item: Item, by: str, note: str) -> bool:
    """Keep an answer for the same bytes, size and garment colour, where the shop's settings want that.

    Questions about the order itself (sizes, dates) are this order's and are not remembered.
    Returns whether it is kept.
    """
    if not books.settings.queries.remember_releases or item.print_width_mm is None or item.order_queries:
        return False
    row = RememberedRelease(
        artwork_sha256=item.artwork_sha256,
        page=item.page or 0,
        print_width_mm=_width(item.print_width_mm),
        garment_colour=item.garment_colour,
        checks=queried_checks(item.findings),
        released_by=by,
        note=note,
        at=books.now,
    )
    key = ("artwork_sha256", "page", "print_width_mm", "garment_colour")
    changes = {"checks": row.checks, "released_by": by, "note": note, "at": books.now}
    insert_or_update(books.session, row, key, changes)
    return True


def remembered_release(books: Books, item: Item) -> RememberedRelease | None:
    """The earlier answer that covers every question that is now asked of an item, if there is one."""
    if not books.settings.queries.remember_releases or item.print_width_mm is None or item.order_queries:
        return None
    asked = select(RememberedRelease).where(
        RememberedRelease.artwork_sha256 == item.artwork_sha256,
        RememberedRelease.page == (item.page or 0),
        RememberedRelease.print_width_mm == _width(item.print_width_mm),
        RememberedRelease.garment_colour == item.garment_colour,
    )
    row = books.session.exec(asked).first()
    covers = row is not None and set(queried_checks(item.findings)) <= set(row.checks)
    return row if covers else None


def queried_checks(findings: Iterable[Mapping[str, Any]]) -> list[str]:
    """The names of the checks that asked a question."""
    return sorted({str(f.get("check")) for f in findings if f.get("level") == "query"})


def _width(width_mm: float) -> float:
    """The hundredth of a millimetre: the same order computed twice must be found again."""
    return round(width_mm, 2)
