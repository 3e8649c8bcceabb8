"""Callers' questions with known answers, and any other; the long run is `python -m tests.bench find`."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.find import Asked, Caller
from tests.bench.order_books import NOW, BookMaker, write_books
from tests.stores import settings_with
from tickets.lookup import order_number_as_booked, where_is
from tickets.store import Store, open_store


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A shop with a few orders."""
    store = open_store(settings_with(), tmp_path_factory.mktemp("books"), create=True)
    write_books(store, BookMaker(60, live=20))
    yield store
    store.close()


undecodable = st.binary(max_size=20).map(lambda typed: typed.decode("utf-8", "surrogateescape"))


@settings(max_examples=80, deadline=None)
@given(asked=st.text(max_size=50) | undecodable)
def test_anything_can_be_asked(books: Store, asked: str) -> None:
    """Whatever is typed, undecodable bytes too, is answered or said to be nothing; it never breaks."""
    answer = where_is(books, settings_with(), asked, 5, NOW)
    assert answer.orders or answer.says
    assert json.loads(json.dumps(answer.as_json()))["asked"] == answer.asked
    assert order_number_as_booked(books, asked) is None


def place_of(store: Store, question: Asked) -> int:
    """At which place the right answer came, 0 for not among the first five."""
    answer = where_is(store, settings_with(), question.words, 5, NOW)
    found = [near.text for near in answer.near] if question.near else [order.order for order in answer.orders]
    wanted = question.near or question.number
    return found.index(wanted) + 1 if wanted in found else 0


def test_the_right_order_comes_first(tmp_path: Path) -> None:
    """In 95 of 100 questions the right order first, in 99 among the first five: our own targets."""
    store = open_store(settings_with(), tmp_path, create=True)
    orders = write_books(store, BookMaker(1500, live=300))
    places = [place_of(store, question) for question in Caller(orders, seed=4711).questions(204)]
    store.close()
    assert sum(place == 1 for place in places) >= 0.95 * len(places)
    assert sum(place > 0 for place in places) >= 0.99 * len(places)
