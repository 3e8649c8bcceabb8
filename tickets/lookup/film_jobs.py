"""What waits for film, as jobs for the planner: loose pieces, and those in runs that are only planned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from sqlmodel import Session, col, func, select

from config.settings import Settings
from tickets.film.model import Job, Shape, StoredRun
from tickets.film.rules import spares_for
from tickets.models import Item, Lot, Order, Ticket
from tickets.models_film import DROPPED, PLANNED, FilmPiece, FilmRun, FilmWish
from tickets.standing import ACCEPTED
from tickets.store import Store


def film_jobs(store: Store, settings: Settings) -> list[Job]:
    """Every ticket with pieces that wait to be printed and are free to be laid: see `read_film_jobs`."""
    with store.reading() as session:
        planned = session.exec(select(FilmRun.code).where(FilmRun.standing == PLANNED)).all()
        return read_film_jobs(session, settings, planned)


def read_film_jobs(session: Session, settings: Settings, planned: Sequence[str]) -> list[Job]:
    """Every ticket with pieces at the first station that are loose, or lie in one of the `planned` runs.

    Held and queried tickets are left out, and those that a person took out. A reprint is a rush. A piece
    takes the box of its canvas at print size, in mm.
    """
    first = settings.station[0].name
    count = func.sum(Lot.count)
    asked = (
        select(Ticket, Item, Order, count)
        .join(Item, col(Ticket.item_id) == Item.id)
        .join(Order, col(Item.order_id) == Order.id)
        .join(Lot, col(Lot.ticket_id) == Ticket.id)
        .where(Lot.place == first, col(Lot.run).in_(["", *planned]), Item.standing == ACCEPTED)
        .where(col(Ticket.held_why).is_(None), col(Order.held_why).is_(None))
        .where(col(Ticket.id).not_in(select(FilmWish.ticket_id).where(col(FilmWish.run_id).is_(None))))
        .group_by(col(Ticket.id), col(Item.id), col(Order.id))
        .order_by(col(Ticket.code))
    )
    found = session.exec(asked).all()
    wishes = _wishes(session)
    spares = _spares_laid(session, [ticket.id for ticket, _, _, _ in found])
    return [
        _job(ticket, item, order, int(count), settings, wishes.get(ticket.id, ""), spares[ticket.id])
        for ticket, item, order, count in found
    ]


def shapes_on(runs: Sequence[StoredRun]) -> dict[str, Shape]:
    """The shapes, not turned, of what lies on some runs, by ticket code."""
    return {
        p.code: Shape(p.height_mm, p.width_mm) if p.turned else Shape(p.width_mm, p.height_mm)
        for run in runs
        for p in run.pieces
    }


def _wishes(session: Session) -> dict[int | None, str]:
    """The planned run that each ticket was pinned to, by row number."""
    asked = select(FilmWish.ticket_id, FilmRun.code).join(FilmRun, col(FilmRun.id) == FilmWish.run_id)
    return dict(session.exec(asked.where(FilmRun.standing == PLANNED)).all())


def _spares_laid(session: Session, ticket_ids: Sequence[int | None]) -> Counter[int | None]:
    """How many spares each of some tickets has on runs that are to be printed or were, by row number."""
    asked = (
        select(FilmPiece.ticket_id, func.count())
        .join(FilmRun, col(FilmRun.id) == FilmPiece.run_id)
        .where(col(FilmPiece.ticket_id).in_(ticket_ids), col(FilmPiece.spare))
        .where(col(FilmRun.standing).not_in([PLANNED, DROPPED]))
        .group_by(col(FilmPiece.ticket_id))
    )
    return Counter(dict(session.exec(asked).all()))


def _job(
    ticket: Ticket, item: Item, order: Order, count: int, settings: Settings, pinned_run: str, laid: int
) -> Job:
    spares = min(spares_for(count, settings.film), spares_for(ticket.quantity, settings.film) - laid)
    return Job(
        code=ticket.code,
        order=order.number,
        quantity=count,
        shape=Shape(item.print_width_mm or 0.0, item.print_height_mm or 0.0),
        film=item.film or settings.film.default_kind,
        due_at=order.due_at,
        rush=order.rush or ticket.rush or ticket.reprint_of_id is not None,
        may_turn=item.may_turn,
        spares=max(0, spares),
        pinned_run=pinned_run,
    )
