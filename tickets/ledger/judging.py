"""Booking what the preflight found, and that papers and reports were written for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlmodel import select

from tickets.ledger.books import Books
from tickets.ledger.issuing import issue_first
from tickets.ledger.moving import settle_order
from tickets.ledger.opening import open_order
from tickets.ledger.remembering import queried_checks, remembered_release
from tickets.ledger.sizing import apply_agreed
from tickets.ledger.telling import note_query_told, tell_released
from tickets.models import Item, Revision, Ticket
from tickets.requests import Judgement
from tickets.standing import ACCEPTED, QUERIED, REFUSED, UNCHECKED


def book_judgement(books: Books, judgement: Judgement) -> None:
    """Book the preflight's answer about one item; an answer about an earlier artwork of it is ignored.

    Clear: accepted, and its ticket is issued. Query (or a question about the order itself): queried, with its
    ticket. Refuse: refused, without one; where a ticket is out for an earlier artwork, still queried.
    """
    asked = select(Item.order_id).where(Item.id == judgement.item_id)
    opened = open_order(books, books.session.exec(asked).one())
    item = opened.items[judgement.item_id]
    if item.revision != judgement.revision or item.standing != UNCHECKED:
        return
    _write_findings(books, item, judgement)
    has_ticket = any(opened.tickets_of(item))
    standing, why = _standing(books, item, judgement, has_ticket)
    item.standing = standing
    told: dict[str, Any] = {
        "verdict": judgement.verdict,
        "revision": judgement.revision,
        "standing": standing,
    }
    checks = queried_checks([*judgement.findings, *item.order_queries])
    books.note("judged", opened.about_item(item), slug=judgement.slug, checks=checks, **told, **why)
    if standing != REFUSED and not has_ticket:
        issue_first(books, opened, item)
    if standing == ACCEPTED and 0 < item.reported_revision < item.revision:
        tell_released(books, opened, [item])  # the corrected artwork answers what was asked
    if standing == ACCEPTED and item.revision == 1 and apply_agreed(books, opened, item):
        return  # it is checked once more at the size that its customer agreed to
    settle_order(books, opened)


def note_papered(books: Books, code: str, revision: int, to_print: bool = False) -> None:
    """The ticket's paper was made for this revision of its artwork; never goes back to an older one."""
    found = select(Item.order_id).join(Ticket).where(Ticket.code == code)
    opened = open_order(books, books.session.exec(found).one())
    ticket = opened.tickets[code]
    if ticket.papered_revision < revision:
        ticket.papered_revision = revision
        asked: dict[str, Any] = {"print": True} if to_print else {}
        books.note("papered", opened.about(code), revision=revision, **asked)


def note_reported(books: Books, order_id: int, revisions: Mapping[int, int], file: str, address: str) -> None:
    """The customer's report and the message `file` were written for these revisions (by item row number)."""
    opened = open_order(books, order_id)
    for item_id, revision in revisions.items():
        item = opened.items[item_id]
        if item.reported_revision < revision:
            item.reported_revision = revision
            books.note("reported", opened.about_item(item), revision=revision)
    if file:
        note_query_told(books, order_id, revisions, file, address)


def _write_findings(books: Books, item: Item, judgement: Judgement) -> None:
    findings, measures = [dict(f) for f in judgement.findings], dict(judgement.measures)
    item.findings, item.measures = findings, measures
    item.print_width_mm, item.print_height_mm = judgement.print_width_mm, judgement.print_height_mm
    item.refused_slug = judgement.slug if judgement.verdict == "refuse" else ""
    latest = select(Revision).where(Revision.item_id == item.id, Revision.number == judgement.revision)
    revision = books.session.exec(latest).one()
    revision.verdict, revision.findings, revision.measures = judgement.verdict, findings, measures


def _standing(books: Books, item: Item, judgement: Judgement, has_ticket: bool) -> tuple[str, dict[str, str]]:
    """What the item stands as now, and what else is to be told about why."""
    if judgement.verdict == "refuse":
        return (
            (QUERIED, {"kept": "its ticket is out for an earlier artwork"}) if has_ticket else (REFUSED, {})
        )
    if judgement.verdict == "clear" and not item.order_queries:
        return ACCEPTED, {}
    remembered = remembered_release(books, item)
    if remembered is None:
        return QUERIED, {}
    item.released_by, item.released_note = remembered.released_by, remembered.note
    return ACCEPTED, {"remembered_from": remembered.released_by}
