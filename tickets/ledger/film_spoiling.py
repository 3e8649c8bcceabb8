"""Spoilage on film: of a run by ticket, by length or whole; and the spares that take a lost piece's place."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, replace

from sqlalchemy import update
from sqlmodel import col, select

from tickets import wording_film_spoiling as wording
from tickets.film.model import RunPiece
from tickets.film.spoiling import Spoilt, numbers_in_length, numbers_of_ticket, spoil
from tickets.ledger.books import Books
from tickets.ledger.film_scans import mark_printed, open_run
from tickets.ledger.issuing import issue_reprint
from tickets.ledger.keys import claim, keep_answer
from tickets.ledger.moving import book_scan, book_steps, settle_order
from tickets.ledger.opening import OpenOrder, open_orders, orders_of_run, row_id
from tickets.models import Scan, Ticket
from tickets.models_film import PRINTED, FilmPiece, FilmRun
from tickets.pieces import Spot, Step
from tickets.places import ENDS, SPOILED
from tickets.requests import RunSpoilage, RunSpoiled
from tickets.wording_film import run_dropped, run_not_known
from tickets.wording_floor import bad_number, spoiled_needs_why


def spoil_run(books: Books, asked: RunSpoilage) -> RunSpoiled:
    """Count pieces of a run as spoiled where its film is now; what no spare replaces starts again at print.

    Raises NotFound `run-not-known`; ShopProblem `run-dropped`, `run-is-cut`, `not-on-the-run`,
    `more-than-waits`, `spoiled-needs-why`, `bad-length`, `bad-number`, `run-not-released`,
    `key-used-for-another`, `key-too-long`.
    """
    question = {"act": "spoil", **asdict(replace(asked, key="", by=""))}
    before = claim(books, asked.key, question)
    if before is not None:
        return RunSpoiled.given_before(before)
    answer = _spoil(books, asked)
    keep_answer(books, asked.key, answer)
    return answer


def _spoil(books: Books, asked: RunSpoilage) -> RunSpoiled:
    run = asked.run
    orders = open_orders(books, orders_of_run(books, run))
    row = open_run(books, run, orders)
    if row is None:
        raise run_not_known(run)
    if row.standing == "dropped":
        raise run_dropped(run)
    waiting = _waiting(orders, run)
    if not waiting:
        raise wording.run_is_cut(run)
    pieces = _pieces(books, row)
    lost = _lost(asked, pieces, waiting)
    if not asked.why.strip():
        raise spoiled_needs_why(len(lost))
    spoilt = spoil(pieces, {code: sum(at.values()) for code, at in waiting.items()}, lost)
    return _book(books, row, orders, asked, spoilt, pieces)


def free_spares(books: Books, code: str) -> list[int]:
    """The row numbers of the spares that a ticket has on printed film, the first on the film first."""
    asked = (
        select(FilmPiece.id)
        .join(FilmRun, col(FilmRun.id) == FilmPiece.run_id)
        .join(Ticket, col(Ticket.id) == FilmPiece.ticket_id)
        .where(Ticket.code == code, col(FilmPiece.spare), FilmRun.standing == PRINTED)
        .where(col(FilmPiece.lost_in).is_(None), col(FilmPiece.used_in).is_(None))
        .order_by(col(FilmPiece.run_id), col(FilmPiece.number))
    )
    return [row_id(number) for number in books.session.exec(asked)]


def use_spares(books: Books, opened: OpenOrder, code: str, spares: Collection[int], scan: Scan) -> None:
    """These spares take the place of pieces that a scan found spoiled."""
    if not spares:
        return
    taken = update(FilmPiece).where(col(FilmPiece.id).in_(spares)).values(used_in=row_id(scan.id))
    books.session.execute(taken)
    _note_spares(books, opened, code, len(spares), scan)


def _note_spares(books: Books, opened: OpenOrder, code: str, count: int, scan: Scan) -> None:
    told = {"scan": scan.id, "station": scan.station, "why": scan.why, "count": count}
    books.note("spares-used", opened.about(code), scan.by, **told)


def _waiting(orders: Mapping[int, OpenOrder], run: str) -> dict[str, dict[str, int]]:
    """The pieces of a run by ticket and place, on the film."""
    found: dict[str, dict[str, int]] = {}
    for code, lots in ((c, of) for opened in orders.values() for c, of in opened.lots.items()):
        there = {s.place: n for s, n in lots.items() if s.run == run and s.place not in ENDS}
        if there:
            found[code] = there
    return found


def _pieces(books: Books, row: FilmRun) -> list[RunPiece]:
    """What lies on a run, as far as spoilage goes."""
    asked = select(FilmPiece, Ticket.code).join(Ticket, col(Ticket.id) == FilmPiece.ticket_id)
    rows = books.session.exec(asked.where(FilmPiece.run_id == row.id).order_by(col(FilmPiece.number)))
    return [
        RunPiece(
            number=p.number,
            code=code,
            order="",
            item=0,
            artwork="",
            artwork_sha256="",
            x_mm=p.x_mm,
            y_mm=p.y_mm,
            width_mm=p.width_mm,
            height_mm=p.height_mm,
            spare=p.spare and p.used_in is None,
            lost=p.lost_in is not None,
        )
        for p, code in rows
    ]


def _lost(
    asked: RunSpoilage, pieces: Sequence[RunPiece], waiting: Mapping[str, Mapping[str, int]]
) -> set[int]:
    """The numbers of the pieces that are spoiled."""
    if asked.ticket:
        there = sum(waiting.get(asked.ticket, {}).values())
        if not there:
            raise wording.not_on_the_run(asked.ticket, asked.run)
        if asked.pieces is not None and asked.pieces <= 0:
            raise bad_number(asked.pieces)
        if asked.pieces is not None and asked.pieces > there:
            raise wording.more_than_on_run(asked.ticket, asked.run, asked.pieces, there)
        return numbers_of_ticket(pieces, asked.ticket, asked.pieces)
    if asked.from_mm is None and asked.to_mm is None:
        return {piece.number for piece in pieces if not piece.lost}
    from_mm = 0.0 if asked.from_mm is None else asked.from_mm
    to_mm = float("inf") if asked.to_mm is None else asked.to_mm
    if not 0 <= from_mm < to_mm:
        raise wording.bad_length(from_mm, to_mm)
    lost = numbers_in_length(pieces, from_mm, to_mm)
    if not lost:
        raise wording.nothing_in_length(asked.run, from_mm, to_mm)
    return lost


def _book(
    books: Books,
    row: FilmRun,
    orders: Mapping[int, OpenOrder],
    asked: RunSpoilage,
    spoilt: Spoilt,
    pieces: Sequence[RunPiece],
) -> RunSpoiled:
    run, waiting = asked.run, _waiting(orders, asked.run)
    places = {place for there in waiting.values() for place in there}
    station = min(places, key=books.route.stations.index)
    scan = book_scan(
        books, Scan(kind="scan", code=run, station=station, by=asked.by, why=asked.why, at=books.now)
    )
    mark_printed(books, row, scan)
    _mark(books, row, spoilt, scan)
    spares = spoilt.spares_used(pieces)
    reprints: dict[str, str] = {}
    for opened in orders.values():
        own = {code: count for code, count in spoilt.again.items() if code in opened.tickets}
        steps = [step for code, count in own.items() for step in _steps(waiting[code], code, count, run)]
        book_steps(books, opened, scan, steps, run=run)
        for code, count in own.items():
            reprints[code] = issue_reprint(books, opened, code, count, scan).code
        for code in set(spares) & set(opened.tickets):
            _note_spares(books, opened, code, spares[code], scan)
        settle_order(books, opened)
    first = books.route.stations[0]
    says = wording.run_spoiled(
        run, station, len(spoilt.lost), sum(spares.values()), reprints, spoilt.again, first
    )
    return RunSpoiled(run, station, len(spoilt.lost), dict(spoilt.again), dict(spares), reprints, says)


def _steps(there: Mapping[str, int], code: str, count: int, run: str) -> list[Step]:
    """So many pieces of a ticket from where they lie on the film to nowhere."""
    steps = []
    for place, waiting in there.items():
        taken = min(count, waiting)
        if taken:
            steps.append(Step(code, taken, Spot(place, run), Spot(SPOILED)))
            count -= taken
    return steps


def _mark(books: Books, row: FilmRun, spoilt: Spoilt, scan: Scan) -> None:
    own = col(FilmPiece.run_id) == row.id
    for numbers, change in ((spoilt.lost, "lost_in"), (spoilt.used, "used_in")):
        if numbers:
            marked = update(FilmPiece).where(own, col(FilmPiece.number).in_(numbers))
            books.session.execute(marked.values({change: row_id(scan.id)}))
