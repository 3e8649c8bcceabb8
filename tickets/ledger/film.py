"""Film runs in the books: a plan is kept whole or not at all, and its pieces lie in its runs from then on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import delete, insert
from sqlmodel import col, func, select

from tickets import wording_film as wording
from tickets.codes import new_run_code
from tickets.film.keeping import FilmPlan, RunToKeep
from tickets.film.model import Layout, Shape
from tickets.ledger.books import About, Books
from tickets.ledger.moving import book_scan, book_steps
from tickets.ledger.opening import OpenOrder, open_orders, orders_of_run, row_id
from tickets.models import Item, Lot, Scan, Ticket
from tickets.models_film import DROPPED, PLANNED, PRINTED, RELEASED, FilmPiece, FilmRun, FilmSheet, FilmWish
from tickets.pieces import Spot, Step
from tickets.plans import require_scannable

_TRIES = 50


def keep_plan(books: Books, plan: FilmPlan, by: str) -> list[str]:
    """Have the planned runs as `plan` says: pieces leave them and come into them, layouts are written.

    Returns the codes of its runs, in their order. Raises ShopProblem `plan-overtaken` where the books are no
    longer as they were when it was made, `ticket-held`, `ticket-queried`: then nothing is changed.
    """
    found = books.session.exec(select(FilmRun.code).where(FilmRun.standing == PLANNED)).all()
    orders = _orders_of(books, {*plan.before, *found}, plan)
    rows = _lock_runs(books, PLANNED)
    if {code: row.revision for code, row in rows.items()} != dict(plan.before):
        raise wording.plan_overtaken("other runs were planned, released or dropped")
    codes: list[str] = []
    for run in plan.runs:
        codes.append(run.code or _new_code(books, codes))
    wanted = {code: _owed(run.layout) for code, run in zip(codes, plan.runs, strict=True)}
    wanted |= {code: Counter[str]() for code in plan.given_up}
    _move_pieces(books, orders, wanted, by)
    for code in plan.given_up:
        _give_up(books, rows[code])
    for code, run in zip(codes, plan.runs, strict=True):
        if run.is_changed:
            _write_run(books, rows.get(code), code, run, plan.shapes)
    if plan.is_changing:
        books.note("film-planned", About(), by, runs=codes, dropped=plan.given_up)
    return codes


def drop_run(books: Books, code: str, by: str) -> None:
    """Give up a run that is not printed: its pieces wait at print again.

    Raises ShopProblem `run-printed`, `run-dropped`, NotFound `run-not-known`.
    """
    orders = _orders_of(books, {code})
    row = find_run(books, code)
    require_not_printed(row)
    require_same_orders(books, code, orders)
    _move_pieces(books, orders, {code: Counter()}, by)
    _give_up(books, row)
    books.note("run-dropped", About(), by, run=code)


def pin_run(books: Books, code: str, by: str, *, is_pinned: bool) -> None:
    """Have planning leave a planned run alone, or not any more. Raises as `drop_run`, `run-not-planned`."""
    row = find_run(books, code)
    if row.standing != PLANNED:
        raise wording.run_not_planned(code)
    row.pinned = is_pinned
    books.note("run-pinned" if is_pinned else "run-freed", About(), by, run=code)


def wish(books: Books, code: str, run: str | None, by: str) -> None:
    """Remember that a ticket belongs into a planned run, or ("") into no plan; None: neither any more.

    Raises NotFound `code-not-known`, ShopProblem `run-not-planned`.
    """
    asked = select(Ticket.id, Item.order_id, Item.id).join(Item).where(Ticket.code == code)
    found = books.session.exec(asked).first()
    if found is None:
        raise wording.ticket_not_for_film(code)
    ticket_id, order_id, item_id = row_id(found[0]), found[1], row_id(found[2])
    books.session.execute(delete(FilmWish).where(col(FilmWish.ticket_id) == ticket_id))
    if run is not None:
        row = find_run(books, run) if run else None
        if row is not None and row.standing != PLANNED:
            raise wording.run_not_planned(run)
        books.session.add(FilmWish(ticket_id=ticket_id, run_id=row.id if row else None))
    kind = "film-free" if run is None else "film-pinned" if run else "film-kept-out"
    books.note(kind, About(order_id, item_id, ticket_id), by, run=run or "")


def release_run(books: Books, code: str, revision: int, by: str) -> None:
    """Mark a planned run as released: its file is proved, and it is not planned again.

    Raises ShopProblem `plan-overtaken` where its layout is not the one that was proved, `run-out-of-date`
    where pieces on it are cancelled or held by now, `run-not-planned`, `run-printed`, `run-dropped`.
    """
    orders = _orders_of(books, {code})
    row = find_run(books, code)
    require_not_printed(row)
    require_same_orders(books, code, orders)
    if row.standing != PLANNED:
        raise wording.run_not_planned(code)
    if row.revision != revision:
        raise wording.plan_overtaken(f"{code} was laid anew")
    asked = select(Ticket.code, func.count()).join(FilmPiece, col(FilmPiece.ticket_id) == Ticket.id)
    laid = asked.where(FilmPiece.run_id == row.id, ~col(FilmPiece.spare)).group_by(Ticket.code)
    wrong = _out_of_date(books, orders, code, dict(books.session.exec(laid).all()))
    if wrong:
        raise wording.run_out_of_date(code, wrong)
    row.standing, row.released_at, row.released_by = RELEASED, books.now, by
    books.note("run-released", About(), by, run=code)


def find_run(books: Books, code: str) -> FilmRun:
    """The row of a run, locked, as it is now. Raises NotFound `run-not-known`."""
    asked = select(FilmRun).where(FilmRun.code == code).with_for_update()
    found = books.session.exec(asked.execution_options(populate_existing=True)).first()
    if found is None:
        raise wording.run_not_known(code)
    return found


def require_not_printed(row: FilmRun) -> None:
    """Raises ShopProblem `run-printed`, `run-dropped`."""
    if row.standing == PRINTED:
        raise wording.run_printed(row.code)
    if row.standing == DROPPED:
        raise wording.run_dropped(row.code)


def require_same_orders(books: Books, run: str, orders: Mapping[int, OpenOrder]) -> None:
    """Raises ShopProblem `plan-overtaken` where pieces of further orders came into a run meanwhile."""
    if set(orders_of_run(books, run)) - set(orders):
        raise wording.plan_overtaken(f"{run} was laid anew")


def _out_of_date(
    books: Books, orders: Mapping[int, OpenOrder], run: str, laid: Mapping[str, int]
) -> list[str]:
    """The tickets on a run that are held or queried by now, or have fewer pieces in it than lie on it."""
    spot = Spot(books.route.stations[0], run)
    owners = {code: opened for opened in orders.values() for code in opened.tickets}
    wrong = []
    for code, count in sorted(laid.items()):
        now = owners[code].ticket_now(code) if code in owners else None
        if now is None or now.lots.get(spot, 0) != count or now.is_stopped:
            wrong.append(code)
    return wrong


def _orders_of(books: Books, runs: Iterable[str], plan: FilmPlan | None = None) -> dict[int, OpenOrder]:
    """The orders with pieces in some runs, and with tickets on a plan: locked, read whole."""
    in_runs = select(Item.order_id).join(Ticket).join(Lot).where(col(Lot.run).in_(list(runs)))
    found = set(books.session.exec(in_runs.distinct()))
    if plan is not None:
        codes = sorted({code for run in plan.runs for code in run.layout.counts()})
        of_tickets = select(Item.order_id).join(Ticket).where(col(Ticket.code).in_(codes))
        found |= set(books.session.exec(of_tickets.distinct()))
    return open_orders(books, found)


def _lock_runs(books: Books, standing: str) -> dict[str, FilmRun]:
    asked = select(FilmRun).where(FilmRun.standing == standing).order_by(col(FilmRun.id)).with_for_update()
    rows = books.session.exec(asked.execution_options(populate_existing=True))
    return {row.code: row for row in rows}


def _owed(layout: Layout) -> Counter[str]:
    return Counter(placement.code for placement in layout.placements if not placement.spare)


def _move_pieces(
    books: Books, orders: Mapping[int, OpenOrder], wanted: Mapping[str, Counter[str]], by: str
) -> None:
    """Bring the pieces that wait at the first station into these runs, and out of them, as wanted."""
    first = books.route.stations[0]
    lots = {code: of for opened in orders.values() for code, of in opened.lots.items()}
    there = {
        run: Counter({code: of[spot] for code, of in lots.items() if spot in of})
        for run in wanted
        for spot in [Spot(first, run)]
    }
    outs = {run: there[run] - wanted[run] for run in wanted}
    ins = {run: wanted[run] - there[run] for run in wanted}
    _require_loose(orders, outs, ins, first)
    for run, pieces in outs.items():
        _book(books, orders, run, [Step(c, n, Spot(first, run), Spot(first)) for c, n in pieces.items()], by)
    for run, pieces in ins.items():
        _book(books, orders, run, [Step(c, n, Spot(first), Spot(first, run)) for c, n in pieces.items()], by)


def _require_loose(
    orders: Mapping[int, OpenOrder],
    outs: Mapping[str, Counter[str]],
    ins: Mapping[str, Counter[str]],
    first: str,
) -> None:
    """Raises ShopProblem where a piece that is to be laid is not there, or may not be worked on."""
    needed = sum(ins.values(), Counter[str]())
    freed = sum(outs.values(), Counter[str]())
    owners = {code: opened for opened in orders.values() for code in opened.tickets}
    for code, count in needed.items():
        now = owners[code].ticket_now(code)
        require_scannable(now)
        loose = now.lots.get(Spot(first), 0) + freed[code]
        if loose < count:
            raise wording.plan_overtaken(wording.fewer_wait(code, count, loose, first))


def _book(books: Books, orders: Mapping[int, OpenOrder], run: str, steps: Sequence[Step], by: str) -> None:
    if not steps:
        return
    scan = book_scan(books, Scan(kind="run", code=run, station=books.route.stations[0], by=by, at=books.now))
    for opened in orders.values():
        own = [step for step in steps if step.ticket in opened.tickets]
        if own:
            book_steps(books, opened, scan, own, run=run)


def _give_up(books: Books, row: FilmRun) -> None:
    books.session.execute(delete(FilmWish).where(col(FilmWish.run_id) == row.id))
    books.session.execute(delete(FilmPiece).where(col(FilmPiece.run_id) == row.id))
    row.standing, row.pinned = DROPPED, False


def _write_run(
    books: Books, row: FilmRun | None, code: str, run: RunToKeep, shapes: Mapping[str, Shape]
) -> None:
    """The layout of a run, new or instead of the one that it had."""
    layout = run.layout
    if row is None:
        row = FilmRun(code=code, film=layout.film, width_mm=1, length_mm=1, way="", planned_at=books.now)
        row.revision = 0
        books.session.add(row)
    row.revision += 1
    row.width_mm, row.length_mm, row.way = layout.width_mm, layout.length_mm, str(layout.way)
    row.is_straight_cut, row.inked_share = layout.is_straight_cut, layout.inked_share
    row.cutting_minutes, row.planned_at = layout.cutting_minutes, books.now
    books.session.flush()
    run_id = row_id(row.id)
    books.session.execute(delete(FilmPiece).where(col(FilmPiece.run_id) == run_id))
    books.session.execute(delete(FilmSheet).where(col(FilmSheet.run_id) == run_id))
    if layout.is_sheet:
        books.session.add(FilmSheet(run_id=run_id))
    named = select(Ticket.code, Ticket.id).where(col(Ticket.code).in_(list(layout.counts())))
    tickets = {code: row_id(number) for code, number in books.session.exec(named)}
    books.session.execute(insert(FilmPiece), _piece_rows(run_id, layout, shapes, tickets))


def _piece_rows(
    run_id: int, layout: Layout, shapes: Mapping[str, Shape], tickets: Mapping[str, int]
) -> list[dict[str, object]]:
    in_order = sorted(layout.placements, key=lambda p: (p.y_mm, p.x_mm))
    rows: list[dict[str, object]] = []
    for number, placed in enumerate(in_order, 1):
        shape = shapes[placed.code]
        sides = (shape.width_mm, shape.height_mm)
        wide, high = reversed(sides) if placed.turned else sides
        rows.append(
            {
                "run_id": run_id,
                "number": number,
                "ticket_id": tickets[placed.code],
                "x_mm": placed.x_mm,
                "y_mm": placed.y_mm,
                "width_mm": wide,
                "height_mm": high,
                "turned": placed.turned,
                "spare": placed.spare,
            }
        )
    return rows


def _new_code(books: Books, taken: Sequence[str]) -> str:
    """A run code that no run ever had; longer ones once the short ones are used up."""
    for tried in range(_TRIES):
        code = str(new_run_code(books.random, 3 + tried // 10))
        is_run = books.session.exec(select(FilmRun.id).where(FilmRun.code == code)).first()
        has_pieces = books.session.exec(select(Lot.id).where(Lot.run == code).limit(1)).first()
        if code not in taken and is_run is None and has_pieces is None:
            return code
    raise RuntimeError(f"{_TRIES} new run codes were all taken")
