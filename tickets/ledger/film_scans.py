"""What scans do to film runs: the first makes a run printed, and it is planned again no more."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import update
from sqlmodel import col, select

from tickets import wording_film as wording
from tickets.codes import RUN_LETTER
from tickets.ledger.books import Books
from tickets.ledger.film import require_same_orders
from tickets.ledger.opening import OpenOrder, row_id
from tickets.ledger.stock import book_layout_use
from tickets.lookup.film_runs import read_runs
from tickets.models import Scan, Ticket
from tickets.models_film import PLANNED, PRINTED, RELEASED, FilmPiece, FilmRun


def open_run(books: Books, run: str, orders: Mapping[int, OpenOrder]) -> FilmRun | None:
    """The row of a run that is about to be scanned, locked; None where its layout is not known.

    Raises ShopProblem `run-not-released` where the shop prints released runs alone, `plan-overtaken`.
    """
    asked = select(FilmRun).where(FilmRun.code == run).with_for_update()
    row = books.session.exec(asked.execution_options(populate_existing=True)).first()
    if row is not None:
        require_same_orders(books, run, orders)
        if row.standing == PLANNED and books.settings.film.laying.only_released:
            raise wording.run_not_released(run)
    return row


def mark_printed(books: Books, row: FilmRun, scan: Scan) -> None:
    """From its first scan on a run is printed, and what lies on it was taken off the roll."""
    if row.standing not in (PLANNED, RELEASED):
        return
    row.standing, row.printed_in = PRINTED, row_id(scan.id)
    (stored,) = read_runs(books.session, [row])
    book_layout_use(books, scan, stored.layout())


def unmark_printed(books: Books, undone: Scan) -> None:
    """The scan by which a run counted as printed is taken back."""
    asked = select(FilmRun).where(FilmRun.code == undone.code, FilmRun.printed_in == row_id(undone.id))
    row = books.session.exec(asked.with_for_update()).first()
    if row is not None:
        row.standing, row.printed_in = (RELEASED if row.released_at else PLANNED), None


def free_pieces(books: Books, undone: Scan) -> None:
    """What a scan that is taken back spoiled or used up on film is there again."""
    of_run = select(FilmPiece.id).join(FilmRun, col(FilmRun.id) == FilmPiece.run_id)
    of_run = of_run.where(FilmRun.code == undone.code)
    of_ticket = select(FilmPiece.id).join(Ticket, col(Ticket.id) == FilmPiece.ticket_id)
    of_ticket = of_ticket.where(Ticket.code == undone.code)
    own = of_run if undone.code.startswith(RUN_LETTER) else of_ticket
    scan = row_id(undone.id)
    mine = update(FilmPiece).where(col(FilmPiece.id).in_(own))
    books.session.execute(mine.where(col(FilmPiece.lost_in) == scan).values(lost_in=None))
    books.session.execute(mine.where(col(FilmPiece.used_in) == scan).values(used_in=None))
