"""Taking scans: of a ticket, of a film run, of a whole order at dispatch; each with its events."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace

from tickets import wording_dispatch
from tickets import wording_floor as wording
from tickets.ledger.books import Books
from tickets.ledger.film_scans import mark_printed, open_run
from tickets.ledger.film_spoiling import free_spares, use_spares
from tickets.ledger.issuing import issue_reprint
from tickets.ledger.keys import claim_key, keep_answer
from tickets.ledger.moving import book_scan, book_steps, settle_order
from tickets.ledger.opening import Named, OpenOrder, find_named, open_order, open_orders
from tickets.ledger.packing import pack
from tickets.ledger.stock import book_film_use
from tickets.ledger.telling import tell_dispatched
from tickets.models import Scan
from tickets.pieces import TicketNow, move
from tickets.plans import (
    Ask,
    Plan,
    plan_order_dispatch,
    plan_run_scan,
    plan_scan_with_spares,
    require_whole_dispatch,
)
from tickets.requests import Moved, ScanAnswer, ScanRequest
from tickets.wording_film_spoiling import stand_in

_NOT_ASKED = ("key", "device_at", "device_sequence")  # a device may send a scan again with other ones


def take_scan(books: Books, request: ScanRequest) -> ScanAnswer:
    """Book one scan. Raises ShopProblem, and nothing is changed, where it can't be."""
    question = {name: value for name, value in asdict(request).items() if name not in _NOT_ASKED}
    if not request.collected_by:
        del question["collected_by"]  # so that scans of an older program are known again
    before = claim_key(books, request.key, question)
    if before is not None:
        return before
    books.route.require(request.station)
    if request.collected_by and request.station != books.route.stations[-1]:
        raise wording_dispatch.collected_at_dispatch_only(request.station, books.route.stations[-1])
    named = find_named(books, request.code)
    if named.is_ticket:
        answer = _scan_ticket(books, request, open_order(books, named.order_ids[0]))
    elif named.is_run:
        answer = _scan_run(books, request, named)
    else:
        answer = _scan_order(books, request, open_order(books, named.order_ids[0]))
    keep_answer(books, request.key, answer)
    return answer


def _scan_ticket(books: Books, request: ScanRequest, opened: OpenOrder) -> ScanAnswer:
    code = request.code
    spares = free_spares(books, code)[: request.spoiled] if request.spoiled else []
    plan = plan_scan_with_spares(books.route, opened.ticket_now(code), _ask(request), len(spares))
    _require_dispatch(books, opened, plan, request)
    scan = book_scan(books, _scan_row(books, request, opened.id))
    book_steps(books, opened, scan, plan.steps)
    use_spares(books, opened, code, spares, scan)
    book_film_use(books, scan, [opened], plan.steps)
    reprint = issue_reprint(books, opened, code, plan.spoiled, scan).code if plan.spoiled else None
    settle_order(books, opened)
    slip = _send(books, opened, plan, scan, request)
    said = _Said(
        code,
        plan,
        opened.ticket_now(code).at(plan.station),
        reprint,
        _set_at_risk(opened, code, request),
        slip,
        len(spares),
    )
    says, moved = _says(books, said), _moved(plan, len(spares))
    return ScanAnswer(code, opened.order.number, says, moved, reprint, packing=slip)


def _scan_run(books: Books, request: ScanRequest, named: Named) -> ScanAnswer:
    run = request.code
    orders = open_orders(books, named.order_ids)
    film = open_run(books, run, orders)
    tickets = [now for opened in orders.values() for now in opened.tickets_now()]
    plan = plan_run_scan(books.route, tickets, run, _ask(request))
    for opened in orders.values():
        _require_dispatch(books, opened, plan, request)
    scan = book_scan(books, _scan_row(books, request, None))
    if film is not None:
        mark_printed(books, film, scan)
    for opened in orders.values():
        own = [step for step in plan.steps if step.ticket in opened.tickets]
        book_steps(books, opened, scan, own, run=run)
        settle_order(books, opened)
        if own:
            _send(books, opened, plan, scan, request)
    if film is None:
        book_film_use(books, scan, orders.values(), plan.steps)
    numbers = [o.order.number for o in orders.values()]
    return ScanAnswer(run, ", ".join(numbers), _says(books, _Said(run, plan)), _moved(plan))


def _scan_order(books: Books, request: ScanRequest, opened: OpenOrder) -> ScanAnswer:
    tickets = opened.tickets_now()
    if not tickets:
        raise wording.no_ticket_yet(opened.order.number)
    plan = plan_order_dispatch(books.route, tickets, _ask(request))
    _require_dispatch(books, opened, plan, request)
    scan = book_scan(books, _scan_row(books, request, opened.id))
    book_steps(books, opened, scan, plan.steps)
    book_film_use(books, scan, [opened], plan.steps)
    settle_order(books, opened)
    slip = _send(books, opened, plan, scan, request)
    number = opened.order.number
    says = _says(books, _Said(number, plan, slip=slip))
    left = sum(now.waiting for now in opened.tickets_now()) + _unissued(opened)
    if left:
        says += f" {wording.still_to_come(left)}"
    return ScanAnswer(number, number, says, _moved(plan), packing=slip)


def _send(books: Books, opened: OpenOrder, plan: Plan, scan: Scan, request: ScanRequest) -> int | None:
    """Where pieces of an order have left the house: its customer is told, and they get a packing slip."""
    if not plan.good or plan.station != books.route.stations[-1]:
        return None
    tell_dispatched(books, opened, scan)
    return pack(books, opened, scan, request.collected_by).number


@dataclass(frozen=True, slots=True)
class _Said:
    """What the sentence about a scan is made from; `left` is what still waits at its station."""

    code: str
    plan: Plan
    left: int = 0
    reprint: str | None = None
    garment_set: str = ""
    slip: int | None = None
    spares: int = 0


def _says(books: Books, said: _Said) -> str:
    plan = said.plan
    spoiled = plan.spoiled + said.spares
    sentences = [wording.scanned(said.code, plan.station, plan.to, plan.good, spoiled)]
    if said.spares:
        sentences.append(stand_in(said.spares))
    if said.slip is not None:
        sentences.append(wording_dispatch.goes_with_slip(said.slip))
    if plan.inferred:
        sentences.append(wording.booked_unseen(plan.inferred))
    if said.reprint:
        sentences.append(wording.starts_again(plan.spoiled, books.route.stations[0], said.reprint))
    if said.garment_set:
        sentences.append(wording.garment_may_be_lost(said.garment_set))
    if plan.skipped:
        sentences.append(wording.held_stay_behind(plan.skipped))
    if said.left:
        sentences.append(wording.still_waits(said.left, plan.station))
    return " ".join(sentences)


def _set_at_risk(opened: OpenOrder, code: str, request: ScanRequest) -> str:
    """The set of prints on one garment that a spoiled print may have cost, once it was on the garment."""
    return opened.item_of(code).garment_set if request.spoiled and request.station == "press" else ""


def _require_dispatch(books: Books, opened: OpenOrder, plan: Plan, request: ScanRequest) -> None:
    if plan.station != books.route.stations[-1] or not plan.good:
        return
    after = [_after(now, plan) for now in opened.tickets_now()]
    unissued = _unissued(opened) + plan.spoiled  # what is spoiled now starts again at the first station
    require_whole_dispatch(after, unissued, _ask(request), opened.order.allow_part_dispatch)


def _after(now: TicketNow, plan: Plan) -> TicketNow:
    return replace(now, lots=move(now.lots, [step for step in plan.steps if step.ticket == now.code]))


def _unissued(opened: OpenOrder) -> int:
    return sum(item.quantity for item in opened.unissued)


def _ask(request: ScanRequest) -> Ask:
    return Ask(request.station, request.good, request.spoiled, request.why, request.catch_up, request.part)


def _scan_row(books: Books, request: ScanRequest, order_id: int | None) -> Scan:
    return Scan(
        kind="scan",
        code=request.code,
        order_id=order_id,
        station=request.station,
        by=request.by,
        why=request.why,
        at=books.now,
        device_at=request.device_at,
        device_sequence=request.device_sequence,
    )


def _moved(plan: Plan, spares: int = 0) -> Moved:
    return Moved(plan.station, plan.to, plan.good, plan.spoiled, spares)
