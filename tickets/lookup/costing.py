"""What an item, an order, a film run or a day cost, from the books; estimated where nothing is printed."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from sqlalchemy import exists
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from config.settings import Settings
from config.settings_cost import Cost
from tickets.cost.answers import Basis, CostAnswer, CostLine
from tickets.cost.costing import Part, StretchCost, add_parts, cost_stretch, hands_cost
from tickets.cost.inking import piece_of
from tickets.cost.stretch import Piece, stretch_alone, stretch_in_rows, stretch_of_layout
from tickets.film.model import Layout
from tickets.lookup.film_runs import layout_of_run
from tickets.lookup.finding import order_not_known
from tickets.lookup.stock import read_stock, reckoned_by_says
from tickets.models import Item, Lot, Movement, Order, Scan, Ticket
from tickets.places import CANCELLED, NEW
from tickets.standing import REFUSED
from tickets.store import Store
from tickets.wording_cost import item_not_there, nothing_to_cost, run_not_known, usual_shares
from tickets.wording_floor import no_such_code


@dataclass(frozen=True, slots=True)
class _Costing:
    """The open books and the figures that everything is costed by; runs are costed once each."""

    session: Session
    settings: Settings
    cost: Cost  # the settings' figures, or what counts and purchases say
    reckoned_by: str  # which of the two, in words
    runs: dict[str, StretchCost]

    def piece(self, item: Item) -> Piece:
        """One piece of an item, from its measures."""
        return piece_of(item, self.cost)

    def alone(self, item: Item, count: int) -> Mapping[Part, int]:
        """An estimate of some pieces of an item."""
        printable_mm = self.settings.film.printable_mm
        stretch = stretch_alone("", count, self.piece(item), printable_mm, self.cost)
        return cost_stretch(stretch, self.cost, self.settings.money.currency).parts

    def run(self, run: str, pieces: Mapping[str, int]) -> StretchCost:
        """A run as it was laid, all that lies on it; or, where its layout is not known, in rows.

        `pieces`: what was laid in it, ticket code → pieces. Spares, and pieces that were cancelled or lost
        on it, are borne by their tickets.
        """
        if run not in self.runs:
            layout = layout_of_run(self.session, run)
            items = _items_of(self.session, list(layout.counts() if layout else pieces))
            if layout:
                own = {code: self.piece(item) for code, item in items.items()}
                stretch = stretch_of_layout(layout, own, self.cost)
            else:
                jobs = {code: (count, self.piece(items[code])) for code, count in pieces.items()}
                stretch = stretch_in_rows(jobs, self.settings.film.printable_mm, self.cost)
            self.runs[run] = cost_stretch(stretch, self.cost, self.settings.money.currency)
        return self.runs[run]


def _costing(session: Session, settings: Settings) -> _Costing:
    book = read_stock(session, settings)
    return _Costing(session, settings, book.rates(), reckoned_by_says(book), {})


def cost_of_order(store: Store, settings: Settings, number: str, item: int | None = None) -> CostAnswer:
    """An order, or its item of that number. Raises NotFound `order-not-known`, `item-not-there`,
    `nothing-to-cost`.
    """
    with store.reading() as session:
        order = session.exec(select(Order).where(Order.number == number)).first()
        if order is None:
            raise order_not_known(number)
        items = session.exec(select(Item).where(Item.order_id == order.id).order_by(col(Item.number))).all()
        if item is not None and item not in {i.number for i in items}:
            raise item_not_there(number, item, len(items))
        wanted = [i for i in items if item in (None, i.number) and i.standing != REFUSED]
        costing = _costing(session, settings)
        lines = [_item_line(costing, i) for i in wanted]
    lines = [line for line in lines if line.pieces]
    if not lines:
        raise nothing_to_cost(number)
    bases = {line.basis for line in lines}
    basis = bases.pop() if len(bases) == 1 else Basis.PARTLY
    asked = f"{number}/{item}" if item is not None else number
    unmeasured = [usual_shares()] if any("ink_area_mm2" not in i.measures for i in wanted) else []
    notes = [costing.reckoned_by, *unmeasured]
    return CostAnswer(
        "item" if item is not None else "order", asked, _currency(settings), basis, lines, notes
    )


def item_of_ticket(store: Store, code: str) -> tuple[str, int]:
    """The order's number and the item's number of a ticket. Raises NotFound `code-not-known`."""
    with store.reading() as session:
        asked = select(Order.number, Item.number).join(Item).join(Ticket).where(Ticket.code == code)
        found = session.exec(asked).first()
    if found is None:
        raise no_such_code(code)
    return found


def cost_of_run(store: Store, settings: Settings, run: str) -> CostAnswer:
    """A film run by its code. Raises NotFound `run-not-known`."""
    with store.reading() as session:
        laid = _laid_in(session, [run])
        if not laid:
            raise run_not_known(run)
        costing = _costing(session, settings)
        costed = costing.run(run, laid[run])
        items = _items_of(session, list(laid[run]))
    lines = [
        CostLine(f"{code} {items[code].artwork}", laid[run][code], costed.by_job[code], Basis.RUN)
        for code in sorted(laid[run])
        if code in costed.by_job  # what was cancelled before it was printed is laid no more
    ]
    return CostAnswer("run", run, _currency(settings), Basis.RUN, lines, [costing.reckoned_by], costed.use)


def cost_of_layouts(session: Session, settings: Settings, layouts: Sequence[Layout]) -> int:
    """What printing and cutting some runs would cost, in minor units, before the books know of them."""
    costing = _costing(session, settings)
    codes = {code for layout in layouts for code in layout.counts()}
    pieces = {code: costing.piece(item) for code, item in _items_of(session, list(codes)).items()}
    return sum(
        cost_stretch(stretch_of_layout(layout, pieces, costing.cost), costing.cost, _currency(settings)).total
        for layout in layouts
    )


def cost_of_day(store: Store, settings: Settings, day: date) -> CostAnswer:
    """What was printed, pressed and packed on one day of the shop's own clock, a line a run or ticket."""
    start = datetime.combine(day, time.min, settings.shop.zone)
    end = datetime.combine(day + timedelta(days=1), time.min, settings.shop.zone)
    first = settings.station[0].name
    lines = []
    with store.reading() as session:
        costing = _costing(session, settings)
        moved = _moved_between(session, start, end)
        runs = sorted({run for (place, run, _), _count in moved.items() if place == first and run})
        for run, laid in _laid_in(session, runs).items():
            parts = costing.run(run, laid).parts
            lines.append(CostLine(f"run {run}", sum(laid.values()), parts, Basis.RUN))
        loose = {code: n for (place, run, code), n in moved.items() if place == first and not run}
        items = _items_of(session, list(loose))
        for code, count in sorted(loose.items()):
            what = f"{code} {items[code].artwork}"
            lines.append(CostLine(what, count, costing.alone(items[code], count), Basis.ESTIMATE))
    cost = costing.cost
    for station, seconds in (("press", cost.press_seconds), ("dispatch", cost.pack_seconds)):
        count = sum(n for (place, _, _), n in moved.items() if place == station)
        if count:
            parts = {Part.LABOUR: hands_cost(count * seconds, cost, _currency(settings))}
            lines.append(CostLine(f"at {station}", count, parts, Basis.ESTIMATE))
    return CostAnswer("day", day.isoformat(), _currency(settings), Basis.PARTLY, lines, [costing.reckoned_by])


def _item_line(costing: _Costing, item: Item) -> CostLine:
    """An item: its shares of the runs that its pieces lie in, an estimate of the rest, and its finishing."""
    session, settings = costing.session, costing.settings
    tickets = session.exec(select(Ticket).where(Ticket.item_id == item.id)).all()
    codes = {t.code: t.quantity for t in tickets if not t.withdrawn}
    cancelled = _cancelled(session, list(codes))
    runs = _laid_in(session, _runs_of(session, list(codes)))
    parts, laid = [], 0
    for run, pieces in runs.items():
        shares = costing.run(run, pieces).by_job
        parts += [shares[code] for code in codes if code in shares]
        laid += sum(count for code, count in pieces.items() if code in codes)
    wanted = sum(codes.values()) if codes else item.quantity
    left = max(0, wanted - laid - cancelled)
    if left:
        parts.append(costing.alone(item, left))
    seconds = costing.cost.pack_seconds
    seconds += costing.cost.press_seconds if item.service == "pressed" else 0
    pieces_out = max(0, item.quantity - cancelled)
    parts.append({Part.LABOUR: hands_cost(pieces_out * seconds, costing.cost, _currency(settings))})
    basis = Basis.RUN if laid and not left else Basis.PARTLY if laid else Basis.ESTIMATE
    return CostLine(f"{item.number} {item.artwork}", pieces_out, add_parts(parts), basis)


def _items_of(session: Session, codes: list[str]) -> dict[str, Item]:
    asked = select(Ticket.code, Item).join(Item).where(col(Ticket.code).in_(codes))
    return dict(session.exec(asked).all())


def _runs_of(session: Session, codes: list[str]) -> list[str]:
    asked = select(Movement.to_run).join(Ticket).where(col(Ticket.code).in_(codes), Movement.to_run != "")
    return sorted(set(session.exec(asked)))


def _laid_in(session: Session, runs: list[str]) -> dict[str, Counter[str]]:
    """What was laid in some runs: run → ticket code → pieces; taken out again is taken off."""
    asked = (
        select(Movement, Ticket.code)
        .join(Ticket)
        .where(
            Movement.from_place == Movement.to_place,
            col(Movement.to_run).in_(runs) | col(Movement.from_run).in_(runs),
        )
    )
    first_places: dict[str, Counter[str]] = defaultdict(Counter)
    for movement, code in session.exec(asked):
        if movement.to_run in runs:
            first_places[movement.to_run][code] += movement.count
        if movement.from_run in runs and movement.from_run != movement.to_run:
            first_places[movement.from_run][code] -= movement.count
    return {run: +pieces for run, pieces in sorted(first_places.items()) if +pieces}


def _cancelled(session: Session, codes: list[str]) -> int:
    asked = select(Lot.count).join(Ticket).where(col(Ticket.code).in_(codes), Lot.place == CANCELLED)
    return sum(session.exec(asked))


def _moved_between(session: Session, start: datetime, end: datetime) -> Counter[tuple[str, str, str]]:
    """Pieces that scans moved on between two times and nobody took back: (place, run, ticket) → count."""
    undo = aliased(Scan)
    asked = (
        select(Movement, Ticket.code)
        .join(Scan, col(Scan.id) == Movement.scan_id)
        .join(Ticket, col(Ticket.id) == Movement.ticket_id)
        .where(Scan.kind == "scan", col(Scan.at) >= start, col(Scan.at) < end, Movement.from_place != NEW)
        .where(~exists().where(col(undo.undoes_id) == col(Scan.id)))
    )
    moved: Counter[tuple[str, str, str]] = Counter()
    for movement, code in session.exec(asked):
        if movement.from_place != movement.to_place:
            moved[movement.from_place, movement.from_run, code] += movement.count
    return moved


def _currency(settings: Settings) -> str:
    return settings.money.currency
