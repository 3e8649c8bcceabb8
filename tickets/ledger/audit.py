"""Going over the books: state is rebuilt from what happened and compared with what stands there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from sqlmodel import Session, col, select

from tickets.ledger.moving import step_back
from tickets.models import Event, Item, Lot, Movement, Order, Ticket
from tickets.pieces import PiecesLost, Spot, Step, fold
from tickets.places import ENDS, SPOILED
from tickets.standing import REFUSED
from tickets.store import Store

_ORDERS_AT_ONCE = 200  # so that a large book is gone over in little memory


@dataclass
class Rebuilt:
    """What the events of some orders add up to, by row number."""

    steps: dict[int, list[Step]] = field(default_factory=lambda: defaultdict(list))  # of each ticket
    standings: dict[int, str] = field(default_factory=dict)  # of each item
    ticket_holds: dict[int, str | None] = field(default_factory=dict)
    order_holds: dict[int, str | None] = field(default_factory=dict)
    closed: dict[int, bool] = field(default_factory=dict)
    dues: dict[int, str] = field(default_factory=dict)  # of orders whose due day was changed


def rebuild(session: Session, ticket: Ticket) -> dict[Spot, int]:
    """Where the pieces of a ticket are, from its events alone. Raises PiecesLost when they don't add up."""
    asked = select(Event).where(Event.ticket_id == ticket.id).order_by(col(Event.id))
    return fold(_replay(session.exec(asked)).steps[ticket.id or 0])


def audit(store: Store) -> list[str]:
    """Every way in which the books contradict themselves, a sentence each; an empty list when they don't."""
    with store.reading() as session:
        numbers = list(session.exec(select(Order.id).order_by(col(Order.id))))
        wrong: list[str] = []
        for at in range(0, len(numbers), _ORDERS_AT_ONCE):
            wrong += _audit_orders(session, [n for n in numbers[at : at + _ORDERS_AT_ONCE] if n is not None])
        return wrong


def _audit_orders(session: Session, order_ids: list[int]) -> Iterator[str]:
    orders = session.exec(select(Order).where(col(Order.id).in_(order_ids))).all()
    items = session.exec(select(Item).where(col(Item.order_id).in_(order_ids))).all()
    tickets = session.exec(select(Ticket).where(col(Ticket.item_id).in_([i.id for i in items]))).all()
    told = _replay(
        session.exec(select(Event).where(col(Event.order_id).in_(order_ids)).order_by(col(Event.id)))
    )
    lots = _lots(session, tickets)
    moved = _movements(session, tickets)
    for ticket in tickets:
        yield from _audit_ticket(ticket, lots[ticket.id], moved[ticket.id], told)
    for item in items:
        own = [t for t in tickets if t.item_id == item.id]
        yield from _audit_item(item, own, lots, told)
    for order in orders:
        own_items = [i for i in items if i.order_id == order.id]
        ids = {i.id for i in own_items}
        yield from _audit_order(order, own_items, [t for t in tickets if t.item_id in ids], lots, told)


def _audit_ticket(ticket: Ticket, lots: Any, moved: list[Step], told: Rebuilt) -> Iterator[str]:
    number = ticket.id or 0
    for name, steps in (("movements", moved), ("events", told.steps[number])):
        try:
            folded = fold(steps)
        except PiecesLost as lost:
            yield f"The {name} of {ticket.code} don't add up: {lost}."
            continue
        if folded != lots:
            yield f"{ticket.code} is at {_say(lots)}, but its {name} say {_say(folded)}."
    total = sum(lots.values())
    if total != (0 if ticket.withdrawn else ticket.quantity):
        yield f"{ticket.code} has {total} pieces in all and not {ticket.quantity}."
    if told.ticket_holds.get(number) != ticket.held_why:
        yield f"{ticket.code} is held for {ticket.held_why!r}, but not by its events."


def _audit_item(item: Item, tickets: list[Ticket], lots: Any, told: Rebuilt) -> Iterator[str]:
    name = f"Item {item.number} of order row {item.order_id}"
    total = sum(n for t in tickets for spot, n in lots[t.id].items() if spot.place != SPOILED)
    if tickets and total != item.quantity:
        yield f"{name} has {total} pieces in all and not the {item.quantity} ordered."
    if item.standing == REFUSED and tickets:
        yield f"{name} is refused and has tickets."
    if told.standings.get(item.id or 0, "unchecked") != item.standing:
        yield f"{name} stands as {item.standing}, its events say {told.standings.get(item.id or 0)}."


def _audit_order(
    order: Order, items: list[Item], tickets: list[Ticket], lots: Any, told: Rebuilt
) -> Iterator[str]:
    number = order.id or 0
    if told.order_holds.get(number) != order.held_why:
        yield f"{order.number} is held for {order.held_why!r}, but not by its events."
    if told.dues.get(number, order.due) != order.due:
        yield f"{order.number} is due on {order.due!r}, its events say {told.dues[number]!r}."
    issued = {t.item_id for t in tickets}
    live = any(spot.place not in ENDS for t in tickets for spot in lots[t.id])
    waits = live or any(i.id not in issued and i.standing != REFUSED for i in items)
    for name, is_closed in (
        ("it", order.closed_at is not None),
        ("its events", told.closed.get(number, False)),
    ):
        if is_closed == waits:
            state = "something is still to do" if waits else "nothing is left to do"
            yield f"{order.number}: {state}, but {name} say{'s' if name == 'it' else ''} otherwise."


def _replay(events: Iterable[Event]) -> Rebuilt:
    """Add events up, oldest first; the latest word on each thing counts."""
    told = Rebuilt()
    for event in events:
        payload = event.payload
        if event.ticket_id is not None:
            told.steps[event.ticket_id] += [
                step_back(str(event.ticket_id), m) for m in payload.get("moves", [])
            ]
        if event.item_id is not None and "standing" in payload:
            told.standings[event.item_id] = payload["standing"]
        if event.kind in ("held", "hold-ended"):
            _replay_hold(told, event, payload["why"] if event.kind == "held" else None)
        if event.kind == "due-changed":
            told.dues[event.order_id or 0] = payload["due"]
        if event.kind in ("closed", "reopened"):
            told.closed[event.order_id or 0] = event.kind == "closed"
    return told


def _replay_hold(told: Rebuilt, event: Event, why: str | None) -> None:
    if event.ticket_id is not None:
        told.ticket_holds[event.ticket_id] = why
    else:
        told.order_holds[event.order_id or 0] = why


def _lots(session: Session, tickets: Iterable[Ticket]) -> dict[int | None, dict[Spot, int]]:
    lots: dict[int | None, dict[Spot, int]] = defaultdict(dict)
    for lot in session.exec(select(Lot).where(col(Lot.ticket_id).in_([t.id for t in tickets]))):
        lots[lot.ticket_id][Spot(lot.place, lot.run)] = lot.count
    return lots


def _movements(session: Session, tickets: Iterable[Ticket]) -> dict[int | None, list[Step]]:
    moved: dict[int | None, list[Step]] = defaultdict(list)
    asked = select(Movement).where(col(Movement.ticket_id).in_([t.id for t in tickets]))
    for m in session.exec(asked.order_by(col(Movement.id))):
        source, to = Spot(m.from_place, m.from_run), Spot(m.to_place, m.to_run)
        moved[m.ticket_id].append(Step(str(m.ticket_id), m.count, source, to, m.inferred))
    return moved


def _say(lots: dict[Spot, int]) -> str:
    said = (
        f"{count} {spot.place}{f' in {spot.run}' if spot.run else ''}" for spot, count in sorted(lots.items())
    )
    return ", ".join(said) or "no place"
