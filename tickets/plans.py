"""What a scan, a cancellation or an undo will move: planned from plain values before anything is booked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tickets import wording_floor as wording
from tickets.pieces import PiecesLost, Spot, Step, TicketNow, move
from tickets.places import CANCELLED, ENDS, SPOILED
from tickets.problems import ShopProblem
from tickets.route import Route, Stop
from tickets.standing import QUERIED, UNCHECKED


@dataclass(frozen=True, slots=True)
class Ask:
    """What a scan says was done at a station: the numbers of `ScanRequest`."""

    station: str
    good: int | None = None
    spoiled: int = 0
    why: str = ""
    catch_up: bool = False
    part: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """What a scan will move: its steps in the order of the line, and the sum of it for people."""

    station: str
    to: str
    good: int
    spoiled: int
    steps: tuple[Step, ...]
    skipped: tuple[str, ...] = ()  # tickets that stayed behind because they are held

    @property
    def inferred(self) -> tuple[str, ...]:
        """The stations that were booked without having been seen, in the order of the line."""
        return tuple(dict.fromkeys(s.source.place for s in self.steps if s.inferred))


@dataclass(frozen=True, slots=True)
class Book:
    """What is to be booked at a stop: the run that the pieces are in, how many are good and how many lost."""

    run: str
    good: int
    spoiled: int


def plan_scan(route: Route, ticket: TicketNow, ask: Ask) -> Plan:
    """What a scan of a ticket at a station moves.

    Without numbers: all that wait there, or, with catch-up and nothing there, all that wait before it. Raises
    ShopProblem, and nothing moves: `not-on-route`, `ticket-queried`, `ticket-held`, `nothing-waits-here`,
    `more-than-waits`, `pieces-in-a-run`, `nothing-asked`, `spoiled-needs-why`.
    """
    stop = route.stop(ask.station, ticket.service)
    require_scannable(ticket)
    require_numbers(ask)
    loose = {spot.place: count for spot, count in ticket.lots.items() if not spot.run}
    catches_up = ask.catch_up or stop.always_catches_up
    stop = replace(stop, missed=(*_left_behind(route, ticket), *stop.missed))
    sources = tuple(reversed((*(stop.missed if catches_up else ()), *stop.seen)))  # the nearest first
    wanted = _wanted(ask, stop, loose, catches_up)
    picked = _pick(loose, sources, wanted)
    if not wanted or sum(picked.values()) < wanted:
        raise _too_few(route, ticket, stop, sources, ask)
    good = wanted - ask.spoiled
    steps = _steps(route, ticket, stop, picked, Book("", good, ask.spoiled))
    return Plan(stop.station, stop.to, good, ask.spoiled, steps)


def plan_scan_with_spares(route: Route, ticket: TicketNow, ask: Ask, spares: int) -> Plan:
    """The same where so many spares take the place of spoiled pieces: these are no pieces of the books.

    Raises as `plan_scan`.
    """
    if not spares:
        return plan_scan(route, ticket, ask)
    covered = replace(ask, spoiled=ask.spoiled - spares)
    if covered.good or covered.spoiled:
        require_numbers(ask)
        return plan_scan(route, ticket, covered)
    plan = plan_scan(route, ticket, ask)
    return replace(plan, spoiled=0, steps=())


def plan_run_scan(route: Route, tickets: Sequence[TicketNow], run: str, ask: Ask) -> Plan:
    """What a scan of a film run moves: all of it that waits there, held pieces too: it is one film.

    Raises ShopProblem `run-takes-no-numbers`, `not-on-route`, `nothing-waits-here`.
    """
    route.require(ask.station)
    if ask.good is not None or ask.spoiled:
        raise wording.run_takes_no_numbers(run)
    for missed_too in (False, True):
        steps: list[Step] = []
        for ticket in tickets:
            stop = route.rule_book[ticket.service].get(ask.station)
            if stop is None or (missed_too and not (ask.catch_up or stop.always_catches_up)):
                continue
            stop = replace(stop, missed=(*_left_behind(route, ticket), *stop.missed))
            in_run = {spot.place: count for spot, count in ticket.lots.items() if spot.run == run}
            picked = {p: in_run[p] for p in (stop.missed if missed_too else stop.seen) if p in in_run}
            steps += _steps(route, ticket, stop, picked, Book(run, sum(picked.values()), 0))
        if steps:
            good = sum(s.count for s in steps if s.source.place == ask.station)
            return Plan(ask.station, steps[-1].to.place, good, 0, tuple(steps))
    raise wording.no_run_waits_here(run, ask.station, where_pieces_are(route, tickets, run))


def plan_order_dispatch(route: Route, tickets: Sequence[TicketNow], ask: Ask) -> Plan:
    """What a scan of a whole order at dispatch sends: all that waits there, but nothing of held tickets.

    Raises ShopProblem `order-at-dispatch-only`, `which-ticket`, `ticket-held`, `nothing-waits-here`.
    """
    order = tickets[0].order
    last = route.stations[-1]
    route.require(ask.station)
    if ask.station != last:
        raise wording.order_at_dispatch_only(order, last)
    if ask.good is not None or ask.spoiled or ask.catch_up:
        raise wording.which_ticket(order, [t.code for t in tickets if t.waiting])
    there = [t for t in tickets if t.at(last)]
    held = [t for t in there if t.held_why is not None or t.standing != "accepted"]
    ready = [t for t in there if t not in held]
    if there and (tickets[0].order_held_why is not None or not ready):
        require_scannable((held or there)[0])
    if not ready:
        raise wording.nothing_waits_here(order, last, where_pieces_are(route, tickets), may_catch_up=False)
    steps: list[Step] = []
    for ticket in ready:
        stop = route.stop(last, ticket.service)
        loose = {last: ticket.at(last)}
        steps += _steps(route, ticket, stop, loose, Book("", loose[last], 0))
    good = sum(s.count for s in steps)
    return Plan(last, steps[0].to.place, good, 0, tuple(steps), tuple(t.code for t in held))


def plan_cancel(route: Route, ticket: TicketNow, pieces: int | None) -> tuple[Step, ...]:
    """Which pieces of a ticket end: those least far along first. None: all that are still on the line.

    Raises ShopProblem `nothing-to-cancel`, `more-than-waits`, `bad-number`.
    """
    if pieces is not None and pieces <= 0:
        raise wording.bad_number(pieces)
    if not ticket.waiting:
        raise wording.nothing_to_cancel(ticket.code, where_pieces_are(route, [ticket]))
    if pieces is not None and pieces > ticket.waiting:
        raise wording.more_to_cancel(ticket.code, pieces, ticket.waiting, where_pieces_are(route, [ticket]))
    left = ticket.waiting if pieces is None else pieces
    steps = []
    live = (spot for spot in ticket.lots if spot.place not in ENDS)
    for spot in sorted(live, key=lambda s: (_position(route, s.place), s.run)):
        count = min(left, ticket.lots[spot])
        if count:
            steps.append(Step(ticket.code, count, spot, Spot(CANCELLED)))
            left -= count
    return tuple(steps)


def plan_undo(route: Route, done: Sequence[Step], tickets: Mapping[str, TicketNow]) -> tuple[Step, ...]:
    """The steps that take a scan back, the last first. Raises ShopProblem `moved-on`, naming the ticket."""
    back = tuple(step.back() for step in reversed(done))
    for code in dict.fromkeys(step.ticket for step in back):
        own = [step for step in back if step.ticket == code]
        try:
            move(tickets[code].lots, own)
        except PiecesLost as lost:
            raise wording.moved_on(code, where_pieces_are(route, [tickets[code]])) from lost
    return back


def require_scannable(ticket: TicketNow) -> None:
    """Raises ShopProblem `ticket-queried` or `ticket-held` unless the pieces may be worked on."""
    if ticket.standing == QUERIED:
        raise wording.ticket_queried(ticket.code)
    if ticket.standing == UNCHECKED:
        raise wording.ticket_unchecked(ticket.code)
    if ticket.held_why is not None:
        raise wording.ticket_held(ticket.code, ticket.held_why)
    if ticket.order_held_why is not None:
        raise wording.order_held(ticket.code, ticket.order, ticket.order_held_why)


def require_numbers(ask: Ask) -> None:
    """Raises ShopProblem `bad-number`, `nothing-asked`, `spoiled-needs-why` for numbers that say nothing."""
    for number in (ask.good or 0, ask.spoiled):
        if number < 0:
            raise wording.bad_number(number)
    if ask.good == 0 and ask.spoiled == 0:
        raise wording.nothing_asked()
    if ask.spoiled and not ask.why.strip():
        raise wording.spoiled_needs_why(ask.spoiled)


def require_whole_dispatch(order: Sequence[TicketNow], unissued: int, ask: Ask, allowed: bool) -> None:
    """Raises ShopProblem `part-dispatch` or `part-needs-why` unless what is about to go may go.

    `order` holds the order's tickets as they will stand behind the scan, `unissued` the pieces of items that
    have no ticket yet. Pieces may go when all other live ones of the order wait at dispatch too, or are gone.
    """
    behind = sum(t.waiting - t.at(ask.station) for t in order) + unissued
    if not behind or allowed:
        return
    if not ask.part:
        raise wording.part_dispatch(order[0].order, behind)
    if not ask.why.strip():
        raise wording.part_needs_why(order[0].order)


def _wanted(ask: Ask, stop: Stop, loose: Mapping[str, int], catches_up: bool) -> int:
    """How many pieces the scan speaks of; 0 when it names no number and nothing waits."""
    if ask.good is not None or ask.spoiled:
        return (ask.good or 0) + ask.spoiled
    here = sum(loose.get(place, 0) for place in stop.seen)
    return here or (sum(loose.get(place, 0) for place in stop.missed) if catches_up else 0)


def _pick(loose: Mapping[str, int], sources: Sequence[str], wanted: int) -> dict[str, int]:
    """So many pieces, from the nearest place first; fewer when there are not so many."""
    picked = {}
    for place in sources:
        count = min(wanted, loose.get(place, 0))
        if count:
            picked[place] = count
            wanted -= count
    return picked


def _steps(
    route: Route, ticket: TicketNow, stop: Stop, picked: Mapping[str, int], book: Book
) -> tuple[Step, ...]:
    """Each piece's way from where it waits to the station, and on from there: to the next place, or lost."""
    total: Counter[tuple[str, str]] = Counter()
    for place, count in picked.items():
        is_on_the_way = place in route.rule_book[ticket.service]
        way = route.steps(place, stop.station, ticket.service) if is_on_the_way else (place, stop.station)
        for here, there in pairwise(way):
            total[here, there] += count
    total[stop.station, stop.to] += book.good
    total[stop.station, SPOILED] += book.spoiled
    return tuple(
        Step(
            ticket.code,
            count,
            Spot(here, route.run_at(here, book.run) if here in route.stations else book.run),
            Spot(there, route.run_at(there, book.run)),
            inferred=here in stop.missed,
        )
        for (here, there), count in sorted(total.items(), key=lambda step: _position(route, step[0][0]))
        if count
    )


def _left_behind(route: Route, ticket: TicketNow) -> tuple[str, ...]:
    """Places of a ticket's pieces that the shop has since taken out of its line, or of that service's way.

    Nobody can scan there any more: a catch-up brings them to wherever they are now.
    """
    gone = {spot.place for spot in ticket.lots} - {*route.rule_book[ticket.service], *ENDS}
    return tuple(sorted(gone))


def _too_few(route: Route, ticket: TicketNow, stop: Stop, sources: Sequence[str], ask: Ask) -> ShopProblem:
    """Why a scan cannot have the pieces that it speaks of, and where they are."""
    where = where_pieces_are(route, [ticket])
    runs = {spot.run for spot in ticket.lots if spot.run and spot.place in sources}
    if runs:
        return wording.pieces_in_a_run(ticket.code, sorted(runs), where)
    waits = sum(ticket.at(place) for place in sources)
    if waits:
        return wording.more_than_waits(ticket.code, ask.station, (ask.good or 0) + ask.spoiled, waits, where)
    earlier = any(ticket.at(place) for place in stop.missed)
    return wording.nothing_waits_here(ticket.code, ask.station, where, may_catch_up=earlier)


def where_pieces_are(route: Route, tickets: Iterable[TicketNow], run: str | None = None) -> str:
    """The places of some tickets' pieces in words, in the order of the line; of one run only, when given."""
    total: Counter[Spot] = Counter()
    for ticket in tickets:
        total.update({spot: n for spot, n in ticket.lots.items() if run is None or spot.run == run})
    order = (*route.stations, *ENDS)
    known = sorted(total, key=lambda s: (order.index(s.place) if s.place in order else -1, s.run))
    return wording.places([(spot.place, spot.run, total[spot]) for spot in known])


def _position(route: Route, place: str) -> int:
    """Where in the line a place is; one that the shop no longer has stands before all others."""
    return route.stations.index(place) if place in route.stations else -1
