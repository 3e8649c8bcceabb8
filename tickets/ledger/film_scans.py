"""What scans do to film runs: the first makes a run printed, and it is planned again no more."""

from __future__ import annotations

from collections.abc import Mapping

from sqlmodel import select

from tickets import wording_film as wording
from tickets.ledger.books import Books
from tickets.ledger.film import require_same_orders
from tickets.ledger.opening import OpenOrder, row_id
from tickets.models import Scan
from tickets.models_film import PLANNED, PRINTED, RELEASED, FilmRun


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


def mark_printed(row: FilmRun | None, scan: Scan) -> None:
    """From its first scan on a run is printed."""
    if row is not None and row.standing in (PLANNED, RELEASED):
        row.standing, row.printed_in = PRINTED, row_id(scan.id)


def unmark_printed(books: Books, undone: Scan) -> None:
    """The scan by which a run counted as printed is taken back."""
    asked = select(FilmRun).where(FilmRun.code == undone.code, FilmRun.printed_in == row_id(undone.id))
    row = books.session.exec(asked.with_for_update()).first()
    if row is not None:
        row.standing, row.printed_in = (RELEASED if row.released_at else PLANNED), None
