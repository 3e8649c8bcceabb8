"""Booking steps: the scan, its movements, the lots and the events change together; pieces are guarded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from sqlalchemy import CursorResult, Delete, Update, delete, insert, update
from sqlmodel import col

from tickets.ledger.books import Books
from tickets.ledger.opening import OpenOrder, row_id
from tickets.ledger.telling import settle_telling
from tickets.models import Lot, Movement, Scan
from tickets.pieces import PiecesLost, Spot, Step, move
from tickets.places import DISPATCHED, NEW
from tickets.standing import ACCEPTED, QUERIED, UNCHECKED

KINDS = {"issue": "issued", "scan": "scanned", "undo": "undone", "cancel": "cancelled", "run": "laid-in-run"}


def book_scan(books: Books, scan: Scan) -> Scan:
    """Write the row of a scan, so that its movements have something to belong to."""
    books.session.add(scan)
    books.session.flush()
    return scan


def book_steps(books: Books, opened: OpenOrder, scan: Scan, steps: Sequence[Step], **told: object) -> None:
    """Write what a scan moved of one order's pieces: movements, lots, and an event for each ticket.

    Raises PiecesLost when the lots do not hold what the steps take: a fault in the program.
    """
    changes: Counter[tuple[str, Spot]] = Counter()
    for step in steps:
        changes[step.ticket, step.source] -= step.count
        changes[step.ticket, step.to] += step.count
        books.session.add(_movement(opened, scan, step))
    for (code, spot), change in changes.items():
        if change and spot.place != NEW:
            held = opened.lots.get(code, {}).get(spot, 0)
            _change_lot(books, row_id(opened.tickets[code].id), spot, held, change)
    for code in dict.fromkeys(step.ticket for step in steps):
        own = [step for step in steps if step.ticket == code]
        opened.lots[code] = move(opened.lots.get(code, {}), own)
        details = {
            "scan": scan.id,
            "station": scan.station,
            "why": scan.why,
            "moves": [moved(s) for s in own],
        }
        kind = _kind_of(scan, own[0])
        books.note(kind, opened.about(code), scan.by, **details, **told)


def _kind_of(scan: Scan, first: Step) -> str:
    """What kind of event a scan is to one of its tickets."""
    if first.source.place == NEW:
        return "issued"
    if scan.kind == "run" and first.source.run and not first.to.run:
        return "taken-out-of-run"
    is_remake = scan.kind == "scan" and first.source.place == DISPATCHED
    return "remade" if is_remake else KINDS[scan.kind]


def moved(step: Step) -> list[str | int | bool]:
    """A step as an event tells it: from place and run, to place and run, count, whether inferred."""
    return [*step.source, *step.to, step.count, step.inferred]


def step_back(ticket: str, told: Sequence[str | int | bool]) -> Step:
    """The step that an event told of."""
    from_place, from_run, to_place, to_run, count, inferred = told
    source, to = Spot(str(from_place), str(from_run)), Spot(str(to_place), str(to_run))
    return Step(ticket, int(count), source, to, bool(inferred))


def settle_order(books: Books, opened: OpenOrder) -> None:
    """After any change: drop questions that no longer matter, and close the order or open it again."""
    live = 0
    for item in opened.items.values():
        tickets = list(opened.tickets_of(item))
        waiting = sum(ticket.waiting for ticket in tickets)
        live += waiting
        if tickets and not waiting and item.standing in (QUERIED, UNCHECKED):
            item.standing = ACCEPTED  # nothing is left that the answer could change
            books.note("question-dropped", opened.about(tickets[0].code), standing=ACCEPTED)
    settle_telling(books, opened)
    is_open = bool(live or opened.unissued)
    if is_open == (opened.order.closed_at is None):
        return
    opened.order.closed_at = None if is_open else books.now
    books.note("reopened" if is_open else "closed", opened.about_order())


def _movement(opened: OpenOrder, scan: Scan, step: Step) -> Movement:
    return Movement(
        scan_id=row_id(scan.id),
        ticket_id=row_id(opened.tickets[step.ticket].id),
        from_place=step.source.place,
        from_run=step.source.run,
        to_place=step.to.place,
        to_run=step.to.run,
        count=step.count,
        inferred=step.inferred,
    )


def _change_lot(books: Books, ticket_id: int, spot: Spot, held: int, change: int) -> None:
    """Add to a lot or take from it; a lot is never negative and an empty one is no row.

    `held` is what the locked order was read with: the row must still say so, or nothing is changed.
    """
    lot = (
        col(Lot.ticket_id) == ticket_id,
        col(Lot.place) == spot.place,
        col(Lot.run) == spot.run,
        col(Lot.count) == held,
    )
    left = held + change
    if not held and change > 0:
        row = {"ticket_id": ticket_id, "place": spot.place, "run": spot.run, "count": change}
        books.session.execute(insert(Lot).values(row))  # one that is there after all breaks its unique index
        return
    if left > 0:
        rows = _rows(books, update(Lot).where(*lot).values(count=left))
    else:
        rows = _rows(books, delete(Lot).where(*lot)) if left == 0 else 0
    if rows != 1:
        raise PiecesLost(f"ticket row {ticket_id} has no {-change} pieces at {spot}")


def _rows(books: Books, statement: Update | Delete) -> int:
    done = books.session.execute(statement, execution_options={"synchronize_session": False})
    assert isinstance(done, CursorResult)
    return done.rowcount
