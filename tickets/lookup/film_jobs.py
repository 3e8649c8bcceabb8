"""What waits for film: the loose pieces at the first station, as jobs that the planner lays."""

from __future__ import annotations

from sqlmodel import col, select

from config.settings import Settings
from tickets.film.model import Job, Shape
from tickets.film.rules import spares_for
from tickets.models import Item, Lot, Order, Scan, Ticket
from tickets.standing import ACCEPTED
from tickets.store import Store


def film_jobs(store: Store, settings: Settings) -> list[Job]:
    """Every ticket with pieces that wait to be printed and lie in no run yet; held and queried ones don't.

    A piece takes the box of its canvas at print size, in mm.
    """
    first = settings.station[0].name
    asked = (
        select(Ticket, Item, Order, Lot.count)
        .join(Item, col(Ticket.item_id) == Item.id)
        .join(Order, col(Item.order_id) == Order.id)
        .join(Lot, col(Lot.ticket_id) == Ticket.id)
        .where(Lot.place == first, Lot.run == "", Item.standing == ACCEPTED)
        .where(col(Ticket.held_why).is_(None), col(Order.held_why).is_(None))
        .order_by(col(Ticket.code))
    )
    with store.reading() as session:
        found = session.exec(asked).all()
    return [_job(ticket, item, order, count, settings) for ticket, item, order, count in found]


def is_run_known(store: Store, run: str) -> bool:
    """Whether a run code was ever used."""
    with store.reading() as session:
        return session.exec(select(Scan.id).where(Scan.code == run).limit(1)).first() is not None


def _job(ticket: Ticket, item: Item, order: Order, count: int, settings: Settings) -> Job:
    return Job(
        code=ticket.code,
        order=order.number,
        quantity=count,
        shape=Shape(item.print_width_mm or 0.0, item.print_height_mm or 0.0),
        film=item.film or settings.film.default_kind,
        due_at=order.due_at,
        rush=order.rush or ticket.rush,
        may_turn=item.may_turn,
        spares=spares_for(count, settings.film),
    )
