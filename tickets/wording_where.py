"""What is said to a caller who asks where an order is: one sentence that can be read out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from tickets.languages import make_spoken
from tickets.order_facts import ItemFacts, OrderFacts, TicketFacts
from tickets.standing import LAST_STATION, QUERIED, REFUSED, UNCHECKED, Pieces, Standing
from tickets.wording_floor import done_at, listed

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_NEXT_SENTENCE = re.compile(r"(?<=[.!?]) +(?=[A-Z“])")
_PLAIN_DAY = len("2026-12-04")
_MOST_NUMBERS = 5  # of parcels, read out


def say_day(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Fri 4 Dec; with the year when it is another than now."""
    local = at.astimezone(zone)
    year = f" {local.year}" if local.year != now.astimezone(zone).year else ""
    return f"{_DAYS[local.weekday()]} {local.day} {_MONTHS[local.month - 1]}{year}"


def say_time(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Thu 3 Dec 15:20, on the shop's own clock."""
    return f"{say_day(at, now, zone)} {at.astimezone(zone):%H:%M}"


def say_due(order: OrderFacts, now: datetime, zone: ZoneInfo) -> str:
    """When the order is due: the day, and the time where the order names one. "" when it names none."""
    return due_says(order.due_at, order.due, now, zone)


def due_says(due_at: datetime | None, due: str, now: datetime, zone: ZoneInfo) -> str:
    """The due day, with its time where the order names one; "" when it names none."""
    if due_at is None:
        return ""
    say = say_day if len(due) <= _PLAIN_DAY else say_time
    return say(due_at, now, zone)


def say_told_day(day: date, now: datetime, zone: ZoneInfo) -> str:
    """That the customer was told of a new day."""
    return f"The customer was told: {say_day(datetime.combine(day, time(12), zone), now, zone)}."


def say_expected(likely: datetime, latest: datetime, station: str, now: datetime, zone: ZoneInfo) -> str:
    """Expected ready Thu 3 Dec 15:20, at the latest Fri 4 Dec 09:10; press is the bottleneck."""
    times = f"expected ready {say_time(likely, now, zone)}, at the latest {say_time(latest, now, zone)}"
    return f"{times}; {station} is the bottleneck"


def say_order(
    order: OrderFacts, stations: Sequence[str], now: datetime, zone: ZoneInfo, expected: str = ""
) -> str:
    """Where an order is, in one sentence; `stations` as on the line, `expected` when it is ready."""
    standing = order.standing
    if standing is Standing.REFUSED:
        return _sentence(_refused(order.items))
    if standing is Standing.CANCELLED:
        gone = sum(ticket.pieces.cancelled for _, ticket in order.tickets)
        return _sentence(f"All {gone} cancelled", *_refused_too(order))
    if standing is Standing.DISPATCHED:
        return _sentence(_dispatched(order, now, zone), *_gone_with(order), *_refused_too(order))
    rest = [
        *_progress(order, stations),
        *_gone_with(order),
        *_checking(order),
        *_refused_too(order),
        expected,
        *_due(order, now, zone),
    ]
    if standing is Standing.QUERIED:
        return (
            f"{_sentence(_asked(order))} {_sentence(*rest)}".strip()
            if _others(order)
            else _sentence(_asked(order))
        )
    if standing is Standing.HELD:
        return f"{_sentence(_held(order))} {_sentence(*rest)}".strip()
    return _sentence(*rest)


def say_ticket(pieces: Pieces, stations: Sequence[str]) -> str:
    """Where the pieces of one ticket are: 38 at dispatch, 2 spoiled."""
    said = [f"{pieces.waiting[place]} at {place}" for place in _line(pieces, stations)]
    ends = ((pieces.dispatched, "dispatched"), (pieces.spoiled, "spoiled"), (pieces.cancelled, "cancelled"))
    return ", ".join([*said, *(f"{count} {end}" for count, end in ends if count)])


def nothing_found(asked: str, near: Sequence[str]) -> str:
    """Nothing in the books fits; `near` names what comes near it."""
    said = f"Nothing in the books fits “{asked}”."
    return f"{said} Near it: {'; '.join(near)}." if near else f"{said} Try another word, or fewer."


def meant_number(asked: str, number: str) -> str:
    """A number that is in no order, but for one slip."""
    return f"There is no “{asked}” in the books; {number} is one slip away from it."


def _sentence(*parts: str) -> str:
    said = "; ".join(part.rstrip(" .") for part in parts if part)
    return f"{said[0].upper()}{said[1:]}." if said else ""


def _refused(items: Iterable[ItemFacts]) -> str:
    refused = [item for item in items if item.standing == REFUSED]
    first = next((f for item in refused for f in item.findings if f.get("level") == "refuse"), None)
    names = listed([f"item {item.number} ({item.artwork})" for item in refused[:3]])
    more = f" and {len(refused) - 3} more" if len(refused) > 3 else ""
    return f"Refused: {names}{more}" + (f": {_inside(str(first['says']))}" if first else "")


def _refused_too(order: OrderFacts) -> list[str]:
    refused = [f"{item.number}" for item in order.items if item.standing == REFUSED]
    if not refused:
        return []
    return [
        f"item {refused[0]} was refused" if len(refused) == 1 else f"items {listed(refused)} were refused"
    ]


def _dispatched(order: OrderFacts, now: datetime, zone: ZoneInfo) -> str:
    pieces = _pieces(ticket for _, ticket in order.tickets)
    scans = [t.last.at for _, t in order.tickets if t.last and t.last.station == LAST_STATION]
    on = f" on {say_time(max(scans), now, zone)}" if scans else ""
    cancelled = f"; {pieces.cancelled} cancelled" if pieces.cancelled else ""
    return f"All {pieces.dispatched} dispatched{on}{cancelled}"


def _gone_with(order: OrderFacts) -> list[str]:
    """What a caller asks next: the numbers that it can be followed by, or who came for it."""
    numbers = order.consignments[:_MOST_NUMBERS]
    more = len(order.consignments) - len(numbers)
    also = f" and {more} more" if more else ""
    each = "consignment" if len(order.consignments) == 1 else "consignments"
    said = [f"{each} {listed(list(numbers))}{also}"] if numbers else []
    return [*said, f"collected by {listed(list(order.collected_by))}"] if order.collected_by else said


def _asked(order: OrderFacts) -> str:
    """Which answer is waited for: the first question in full, the others counted."""
    open_items = [item for item in order.items if item.standing == QUERIED and item.state.is_open]
    questions = [(item, question) for item in open_items for question in item.questions]
    if not questions:
        return f"Waiting for an answer about {_items(open_items)}"
    item, question = questions[0]
    about = f"item {item.number}" if question in item.order_queries else f"the artwork of item {item.number}"
    more = len(questions) - 1
    also = f" (and {more} more {'question' if more == 1 else 'questions'})" if more else ""
    return f"Waiting for an answer about {about}: {_inside(str(question.get('says', '')))}{also}"


def _held(order: OrderFacts) -> str:
    if order.held_why is not None:
        return f"Held: {order.held_why}" if order.held_why else "Held"
    held = [(i, t) for i, t in order.tickets if t.held_why is not None and t.pieces.in_house]
    item, ticket = held[0]
    more = f" (and {len(held) - 1} more)" if len(held) > 1 else ""
    return f"Held: ticket {ticket.code} ({item.artwork}){more}: {ticket.held_why}"


def _others(order: OrderFacts) -> bool:
    """Whether anything beside the items in question is worth a word."""
    return any(item.standing != QUERIED for item in order.items)


def _checking(order: OrderFacts) -> list[str]:
    unchecked = [item for item in order.items if item.standing == UNCHECKED]
    if not unchecked:
        return []
    are = "is" if len(unchecked) == 1 else "are"
    whole = len(unchecked) == len(order.items)
    return ["the artwork is being checked" if whole else f"{_items(unchecked)} {are} being checked"]


def _items(items: Sequence[ItemFacts]) -> str:
    numbers = listed([str(item.number) for item in items])
    return f"item {numbers}" if len(items) == 1 else f"items {numbers}"


def _due(order: OrderFacts, now: datetime, zone: ZoneInfo) -> list[str]:
    if order.due_at is None:
        return []
    return [f"{'was due' if order.due_at < now else 'due'} {say_due(order, now, zone)}"]


def _progress(order: OrderFacts, stations: Sequence[str]) -> list[str]:
    """38 of 40 pressed, 2 reprints at cure."""
    working = [(i, t) for i, t in order.tickets if i.standing not in (QUERIED, REFUSED)]
    first = _pieces(t for _, t in working if t.reprint_of is None)
    again = _pieces(t for _, t in working if t.reprint_of is not None)
    both = first + again
    total = both.in_house + both.dispatched
    if not total:
        return []
    said = _finished(both, total, {item.service for item, _ in working})
    for place in _line(both, stations):
        if place != LAST_STATION:
            said += _waiting(place, first, again, is_first=not said)
    if both.cancelled:
        said.append(f"{both.cancelled} cancelled")
    return [", ".join(said)]


def _finished(pieces: Pieces, total: int, services: set[str]) -> list[str]:
    ready = pieces.waiting.get(LAST_STATION, 0)
    if ready == total:
        return [f"all {total} ready for dispatch"]
    said = [f"{pieces.dispatched} of {total} dispatched"] if pieces.dispatched else []
    if not ready:
        return said
    if said:
        return [*said, f"{ready} ready for dispatch"]
    return [f"{ready} of {total} {done_at('cure' if services == {'transfers'} else 'press')}"]


def _waiting(place: str, first: Pieces, again: Pieces, *, is_first: bool) -> list[str]:
    said = []
    count, reprints = first.waiting.get(place, 0), again.waiting.get(place, 0)
    if count:
        wait = ("waits" if count == 1 else "wait") + " " if is_first else ""
        said.append(f"{count} {wait}at {place}")
    if reprints:
        said.append(f"{reprints} {'reprint' if reprints == 1 else 'reprints'} at {place}")
    return said


def _line(pieces: Pieces, stations: Sequence[str]) -> list[str]:
    """Where pieces wait, those nearest to being done first; stations that are no more come last."""
    known = [place for place in reversed(stations) if pieces.waiting.get(place)]
    return known + sorted(place for place in pieces.waiting if place not in stations)


def _pieces(tickets: Iterable[TicketFacts]) -> Pieces:
    return sum((ticket.pieces for ticket in tickets), Pieces({}))


def _inside(sentence: str) -> str:
    """A finding's first sentence inside another: no full stop, and a small letter where that reads well."""
    told = _NEXT_SENTENCE.split(sentence.strip(), 1)[0].rstrip(".")
    return told[:1].lower() + told[1:] if told[1:2].islower() or told[1:2] == " " else told


make_spoken(__name__, de="tickets.german.where")
