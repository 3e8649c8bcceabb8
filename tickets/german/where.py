"""German: what is said to a caller who asks where an order is, one sentence that can be read out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from tickets.german.floor import done_at, listed, station_at, station_name
from tickets.german.numbers import local_day, local_time
from tickets.order_facts import ItemFacts, OrderFacts, TicketFacts
from tickets.standing import LAST_STATION, QUERIED, REFUSED, UNCHECKED, Pieces, Standing
from tickets.wording_where import due_says as due_says
from tickets.wording_where import say_due as say_due

_MOST_NUMBERS = 5  # of parcels, read out
_NEXT_SENTENCE = re.compile(r"(?<=[.!?]) +(?=[A-ZÄÖÜ„“])")


def say_day(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Fr., 4. Dez.; with the year when it is another than now."""
    return local_day(at, now, zone)


def say_time(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Do., 3. Dez., 15:20 Uhr, on the shop's own clock."""
    return local_time(at, now, zone)


def say_told_day(day: date, now: datetime, zone: ZoneInfo) -> str:
    """That the customer was told of a new day."""
    return f"Dem Kunden mitgeteilt: {say_day(datetime.combine(day, time(12), zone), now, zone)}."


def say_expected(likely: datetime, latest: datetime, station: str, now: datetime, zone: ZoneInfo) -> str:
    """When it is likely ready, by when at the latest, and what it waits for."""
    times = f"voraussichtlich fertig {say_time(likely, now, zone)}, spätestens {say_time(latest, now, zone)}"
    return f"{times}; Engpass ist {station_name(station)}"


def say_order(
    order: OrderFacts, stations: Sequence[str], now: datetime, zone: ZoneInfo, expected: str = ""
) -> str:
    """Where an order is, in one sentence; `stations` as on the line, `expected` when it is ready."""
    standing = order.standing
    if standing is Standing.REFUSED:
        return _sentence(_refused(order.items))
    if standing is Standing.CANCELLED:
        gone = sum(ticket.pieces.cancelled for _, ticket in order.tickets)
        return _sentence(f"Alle {gone} storniert", *_refused_too(order))
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
        others = any(item.standing != QUERIED for item in order.items)
        return (
            f"{_sentence(_asked(order))} {_sentence(*rest)}".strip() if others else _sentence(_asked(order))
        )
    if standing is Standing.HELD:
        return f"{_sentence(_held(order))} {_sentence(*rest)}".strip()
    return _sentence(*rest)


def say_ticket(pieces: Pieces, stations: Sequence[str]) -> str:
    """Where the pieces of one ticket are: 38 im Versand, 2 Ausschuss."""
    said = [f"{pieces.waiting[place]} {station_at(place)}" for place in _line(pieces, stations)]
    ends = ((pieces.dispatched, "versandt"), (pieces.spoiled, "Ausschuss"), (pieces.cancelled, "storniert"))
    return ", ".join([*said, *(f"{count} {end}" for count, end in ends if count)])


def nothing_found(asked: str, near: Sequence[str]) -> str:
    """Nothing in the books fits; `near` names what comes near it."""
    said = f"Zu „{asked}“ ist nichts zu finden."
    return (
        f"{said} Ähnlich: {'; '.join(near)}." if near else f"{said} Ein anderes Wort versuchen, oder weniger."
    )


def meant_number(asked: str, number: str) -> str:
    """A number that is in no order, but for one slip."""
    return f"„{asked}“ gibt es nicht; {number} ist einen Tippfehler davon entfernt."


def _sentence(*parts: str) -> str:
    said = "; ".join(part.rstrip(" .") for part in parts if part)
    return f"{said[0].upper()}{said[1:]}." if said else ""


def _refused(items: Iterable[ItemFacts]) -> str:
    refused = [item for item in items if item.standing == REFUSED]
    first = next((f for item in refused for f in item.findings if f.get("level") == "refuse"), None)
    names = listed([f"Position {item.number} ({item.artwork})" for item in refused[:3]])
    more = f" und {len(refused) - 3} weitere" if len(refused) > 3 else ""
    return f"Abgelehnt: {names}{more}" + (f": {_inside(str(first['says']))}" if first else "")


def _refused_too(order: OrderFacts) -> list[str]:
    refused = [f"{item.number}" for item in order.items if item.standing == REFUSED]
    if not refused:
        return []
    one = len(refused) == 1
    return [f"Position {refused[0]} ist abgelehnt" if one else f"Positionen {listed(refused)} sind abgelehnt"]


def _dispatched(order: OrderFacts, now: datetime, zone: ZoneInfo) -> str:
    pieces = _pieces(ticket for _, ticket in order.tickets)
    scans = [t.last.at for _, t in order.tickets if t.last and t.last.station == LAST_STATION]
    on = f" am {say_time(max(scans), now, zone)}" if scans else ""
    cancelled = f"; {pieces.cancelled} storniert" if pieces.cancelled else ""
    return f"Alle {pieces.dispatched} versandt{on}{cancelled}"


def _gone_with(order: OrderFacts) -> list[str]:
    """What a caller asks next: the numbers that it can be followed by, or who came for it."""
    numbers = order.consignments[:_MOST_NUMBERS]
    more = len(order.consignments) - len(numbers)
    also = f" und {more} weitere" if more else ""
    word = "Sendungsnummern" if len(order.consignments) > 1 else "Sendungsnummer"
    said = [f"{word} {listed(list(numbers))}{also}"] if numbers else []
    return [*said, f"abgeholt von {listed(list(order.collected_by))}"] if order.collected_by else said


def _asked(order: OrderFacts) -> str:
    """Which answer is waited for: the first question in full, the others counted."""
    open_items = [item for item in order.items if item.standing == QUERIED and item.state.is_open]
    questions = [(item, question) for item in open_items for question in item.questions]
    if not questions:
        return f"Wartet auf eine Antwort zu {_items(open_items)}"
    item, question = questions[0]
    about = (
        f"Position {item.number}"
        if question in item.order_queries
        else f"zum Motiv von Position {item.number}"
    )
    about = about if about.startswith("zum") else f"zu {about}"
    more = len(questions) - 1
    also = f" (und {more} weitere {'Frage' if more == 1 else 'Fragen'})" if more else ""
    return f"Wartet auf eine Antwort {about}: {_inside(str(question.get('says', '')))}{also}"


def _held(order: OrderFacts) -> str:
    if order.held_why is not None:
        return f"Angehalten: {order.held_why}" if order.held_why else "Angehalten"
    held = [(i, t) for i, t in order.tickets if t.held_why is not None and t.pieces.in_house]
    item, ticket = held[0]
    more = f" (und {len(held) - 1} weitere)" if len(held) > 1 else ""
    return f"Angehalten: Laufzettel {ticket.code} ({item.artwork}){more}: {ticket.held_why}"


def _checking(order: OrderFacts) -> list[str]:
    unchecked = [item for item in order.items if item.standing == UNCHECKED]
    if not unchecked:
        return []
    if len(unchecked) == len(order.items):
        return ["das Motiv wird geprüft" if len(unchecked) == 1 else "die Motive werden geprüft"]
    return [f"{_items(unchecked)} {'wird' if len(unchecked) == 1 else 'werden'} geprüft"]


def _items(items: Sequence[ItemFacts]) -> str:
    numbers = listed([str(item.number) for item in items])
    return f"Position {numbers}" if len(items) == 1 else f"Positionen {numbers}"


def _due(order: OrderFacts, now: datetime, zone: ZoneInfo) -> list[str]:
    if order.due_at is None:
        return []
    return [f"{'war fällig' if order.due_at < now else 'fällig'} {say_due(order, now, zone)}"]


def _progress(order: OrderFacts, stations: Sequence[str]) -> list[str]:
    """38 von 40 gepresst, 2 Nachdrucke beim Aushärten."""
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
        said.append(f"{both.cancelled} storniert")
    return [", ".join(said)]


def _finished(pieces: Pieces, total: int, services: set[str]) -> list[str]:
    ready = pieces.waiting.get(LAST_STATION, 0)
    if ready == total:
        return [f"alle {total} versandfertig" if total > 1 else "versandfertig"]
    said = [f"{pieces.dispatched} von {total} versandt"] if pieces.dispatched else []
    if not ready:
        return said
    if said:
        return [*said, f"{ready} versandfertig"]
    return [f"{ready} von {total} {done_at('cure' if services == {'transfers'} else 'press')}"]


def _waiting(place: str, first: Pieces, again: Pieces, *, is_first: bool) -> list[str]:
    said = []
    count, reprints = first.waiting.get(place, 0), again.waiting.get(place, 0)
    if count:
        wait = (" wartet" if count == 1 else " warten") if is_first else ""
        said.append(f"{count}{wait} {station_at(place)}")
    if reprints:
        said.append(f"{reprints} {'Nachdruck' if reprints == 1 else 'Nachdrucke'} {station_at(place)}")
    return said


def _line(pieces: Pieces, stations: Sequence[str]) -> list[str]:
    """Where pieces wait, those nearest to being done first; stations that are no more come last."""
    known = [place for place in reversed(stations) if pieces.waiting.get(place)]
    return known + sorted(place for place in pieces.waiting if place not in stations)


def _pieces(tickets: Iterable[TicketFacts]) -> Pieces:
    return sum((ticket.pieces for ticket in tickets), Pieces({}))


def _inside(sentence: str) -> str:
    """A finding's first sentence inside another: no full stop."""
    return _NEXT_SENTENCE.split(sentence.strip(), 1)[0].rstrip(".")
