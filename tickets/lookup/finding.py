"""Where is it: orders by whatever a caller says, as answers that every door shows alike."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Any

from sqlalchemy import Connection, CursorResult, bindparam, text

from config.settings import Settings
from tickets.codes import is_code, looks_like_code, near_codes, read_code
from tickets.folding import fold_joined
from tickets.layouts import read_by_layout
from tickets.lookup.answering import Answering, Foresee
from tickets.lookup.answers import NearAnswer, OrderAnswer, TicketAnswer, WhereAnswer
from tickets.lookup.loading import load_orders
from tickets.order_facts import OrderFacts
from tickets.problems import BadInput, NotFound
from tickets.search.matching import Matcher, Near
from tickets.search.question import Question, plain_text, read_question
from tickets.search.reading import LAST_LETTER, search_index
from tickets.store import Store
from tickets.utc import Utc
from tickets.wording_where import meant_number, nothing_found

_LEAST_CODE_BEGINNING = 4  # characters of a ticket code that somebody reads off a torn ticket
_MOST_TICKETS_BEGUN = 50

_NUMBER = text("SELECT id FROM orders WHERE number = :number")
_NAMES = text("SELECT id, number, customer_name FROM orders WHERE id IN :ids").bindparams(
    bindparam("ids", expanding=True)
)
_CODES = text(
    "SELECT t.code, i.order_id FROM tickets AS t JOIN items AS i ON i.id = t.item_id WHERE t.code IN :codes"
).bindparams(bindparam("codes", expanding=True))
_CODES_BEGUN = text(
    "SELECT i.order_id FROM tickets AS t JOIN items AS i ON i.id = t.item_id "
    "WHERE t.code >= :first AND t.code < :last LIMIT :most"
)
_DUE = text(
    "SELECT id FROM orders WHERE closed_at IS NULL AND due_at >= :start AND due_at < :end "
    "ORDER BY rush DESC, due_at, id LIMIT :most"
).bindparams(bindparam("start", type_=Utc), bindparam("end", type_=Utc))


def where_is(
    store: Store,
    settings: Settings,
    words: str,
    limit: int = 20,
    now: datetime | None = None,
    *,
    foresee: Foresee | None = None,
) -> WhereAnswer:
    """The orders that a caller may mean, best first; when none does, what comes near.

    A ticket code or an order's very number comes first; then live orders before finished ones, the
    soonest due first among equals. `now` None: the clock. `foresee` tells when orders in work are ready.
    """
    answering = Answering.of(settings, now or datetime.now(UTC), foresee)
    question = read_question(words, answering.today)
    with store.looking() as books:
        answer = _Search(books, answering, question, limit).answer(words)
        if answer.orders or (reading := read_by_layout(words)) is None:
            return answer
        # A scan that came through another keyboard than the scanner is set to, as the stations read it.
        meant = _Search(books, answering, read_question(reading.code, answering.today), limit).answer(words)
    return meant if meant.orders else answer


def order_number_as_booked(store: Store, written: str) -> str | None:
    """The number of the order that `written` is the very number of, as it is booked; None when there is none.

    Case, blanks and hyphens may differ where only one order can be meant.
    """
    with store.looking() as books:
        written, joined = written.strip(), fold_joined(written)
        if _order_id(books, written) is not None:
            return written
        if not joined:
            return None
        index = search_index(books)
        hits = [h for live in (True, False) for h in index.orders([[joined]], live=live, most=20)]
        named = _names(books, [hit.order_id for hit in hits]).values()
        numbers = {number for number, _ in named if fold_joined(number) == joined}
    return numbers.pop() if len(numbers) == 1 else None


def order_answer(
    store: Store,
    settings: Settings,
    number: str,
    now: datetime | None = None,
    *,
    foresee: Foresee | None = None,
) -> OrderAnswer:
    """One order by its number. Raises NotFound `order-not-known`."""
    answering = Answering.of(settings, now or datetime.now(UTC), foresee)
    with store.looking() as books:
        return answering.order(_order(books, number))


def ticket_answer(store: Store, settings: Settings, code: str, now: datetime | None = None) -> TicketAnswer:
    """One ticket by its code. Raises NotFound `ticket-not-known`."""
    answering = Answering.of(settings, now or datetime.now(UTC))
    with store.looking() as books:
        ids = _orders_of_codes(books, [code])
        orders = load_orders(books, ids)
    for order in orders:
        for ticket in answering.order(order).tickets:
            if ticket.code == code:
                return ticket
    raise NotFound(
        "ticket-not-known",
        f"There is no ticket {code} in the books.",
        "Read the code once more, or look the order up with `filmdocket where`.",
    )


def order_not_known(number: str) -> NotFound:
    """There is no order of that number."""
    return NotFound(
        "order-not-known",
        f"There is no order {number!r} in the books.",
        "Look it up with `filmdocket where` and any words that you know of it.",
    )


def _order(books: Connection, number: str) -> OrderFacts:
    order_id = _order_id(books, number)
    if order_id is None:
        raise order_not_known(number)
    return load_orders(books, [order_id])[0]


@dataclass(frozen=True, slots=True)
class _Search:
    """One question, asked of the tickets' codes and of the search indexes in one moment of the books."""

    books: Connection
    answering: Answering
    question: Question
    limit: int

    def answer(self, asked: str) -> WhereAnswer:
        ids = self._by_code()
        if not ids and self.question.days and not self.question.words:
            ids = self._by_day()
        said = ""
        near: tuple[Near, ...] = ()
        if not ids:
            found = self._matcher().find()
            ids = [match.hit.order_id for match in found.matches] or self._by_code_beginning()
            near = found.near
            said = meant_number(self.question.asked, found.slip) if found.slip else ""
        orders = [self.answering.order(order) for order in load_orders(self.books, ids[: self.limit])]
        is_code_near = looks_like_code(asked) and not self._by_code()
        nears = self._near(near if not orders else (), asked if is_code_near else "")
        if not orders:
            said = nothing_found(self.question.asked, [str(n) for n in nears])
        return WhereAnswer(self.question.asked, tuple(orders), tuple(nears), said)

    def _matcher(self) -> Matcher:
        return Matcher(search_index(self.books), self.question, self.answering.zone, self.limit)

    def _texts(self) -> list[str]:
        """What may be a code: the whole question, as a scanner types it, and each piece of it."""
        return [self.question.asked, *self.question.asked.split(" ")]

    def _by_code(self) -> list[int]:
        return _orders_of_codes(self.books, [code for said in self._texts() for code in _code(said)])

    def _by_code_beginning(self) -> list[int]:
        begun = self.question.joined.upper()
        if len(begun) < _LEAST_CODE_BEGINNING or not begun.isascii():
            return []
        values = {"first": begun, "last": begun + LAST_LETTER, "most": _MOST_TICKETS_BEGUN}
        return list(dict.fromkeys(_rows(self.books, _CODES_BEGUN, **values).scalars()))

    def _by_day(self) -> list[int]:
        """Live orders that are due on the days that were named."""
        ids: list[int] = []
        for day in sorted(self.question.days):
            start = datetime.combine(day, time(), self.answering.zone)
            end = datetime.combine(day + timedelta(days=1), time(), self.answering.zone)
            ids += _rows(self.books, _DUE, start=start, end=end, most=self.limit).scalars()
        return ids

    def _near(self, near: Sequence[Near], asked_code: str) -> list[NearAnswer]:
        """What comes near, with its order's number and customer; tickets first."""
        codes = _tickets_of_codes(self.books, near_codes(asked_code)) if asked_code else []
        wanted = [("ticket", code, order_id) for code, order_id in codes]
        wanted += [(n.kind, n.text, n.order_id) for n in near]
        names = _names(self.books, [order_id for _, _, order_id in wanted])
        told: dict[NearAnswer, None] = {}
        for kind, said, order_id in wanted:
            number, customer = names[order_id]
            told[NearAnswer(kind, number if kind == "number" else said, number, customer)] = None
        return list(told)


def _code(said: str) -> Iterable[str]:
    try:
        code = read_code(said)
    except BadInput:
        return
    if is_code(code):
        yield code


def _orders_of_codes(books: Connection, codes: Iterable[str]) -> list[int]:
    return list(dict.fromkeys(order_id for _, order_id in _tickets_of_codes(books, codes)))


def _tickets_of_codes(books: Connection, codes: Iterable[str]) -> list[tuple[str, int]]:
    """The tickets that have these codes, with their orders."""
    asked = sorted(set(codes))
    rows = _rows(books, _CODES, codes=asked).all() if asked else []
    return sorted((row.code, row.order_id) for row in rows)


def _names(books: Connection, order_ids: list[int]) -> dict[int, tuple[str, str]]:
    """Number and customer of some orders."""
    return {row.id: (row.number, row.customer_name) for row in _rows(books, _NAMES, ids=order_ids)}


def _order_id(books: Connection, number: str) -> int | None:
    order_id = _rows(books, _NUMBER, number=plain_text(number)).scalar()
    return None if order_id is None else int(order_id)


def _rows(books: Connection, asked: Any, **values: Any) -> CursorResult[Any]:
    return books.execute(asked, values)
