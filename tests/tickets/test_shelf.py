"""Forecasts that one process makes and the others tell: never of other books, and honest about their age."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from tests.stores import Home
from tests.tickets.front_desk import FrontDesk, item
from tickets.lookup import order_answer
from tickets.lookup.answers import OrderAnswer
from tickets.lookup.foreseeing import Foreseen, Foresight, foresight
from tickets.lookup.fresh import _NEWEST, SHORT_SECONDS, _Newest, foresee, put_on_shelf
from tickets.lookup.shelf import booked_since, has_lots, mark_books, read_shelved
from tickets.requests import ScanRequest
from tickets.store import Store, open_store


class Board:
    """A shelf without a folder."""

    content = b""

    def read(self) -> bytes:
        """What lies there."""
        return self.content

    def write(self, content: bytes) -> None:
        """Put it there."""
        self.content = content


@pytest.fixture
def books(sqlite_home: Home) -> Iterator[Store]:
    """Empty books of one kind, for what does not depend on the database."""
    opened = sqlite_home.open()
    yield opened
    opened.close()


def slow(desk: FrontDesk) -> Foreseen:
    """The forecast now, as if it had taken long to make."""
    made = foresee(desk.store, desk.settings, desk.now)
    return Foreseen(
        made.at, made.expected, made.helping, took=SHORT_SECONDS + 1, books=mark_books(desk.store)
    )


def busy(desk: FrontDesk) -> Board:
    """A desk with an order that may be late and one that is not, and their forecast on the shelf."""
    desk.take("OB-1", items=[item("large.png", 900)], due="2026-12-03")
    desk.take("OB-2", items=[item("small.png", 5)], due="2027-01-29")
    board = Board()
    put_on_shelf(board, desk.settings, slow(desk))
    return board


def asked(desk: FrontDesk, number: str, shelf: Board, minutes: float = 0.0) -> tuple[OrderAnswer, Foresight]:
    """The answer about an order so many minutes later, and the forecast that it was made with."""
    now = desk.now + timedelta(minutes=minutes)
    foresee_now = foresight(desk.store, desk.settings, now, shelf=shelf)
    return order_answer(desk.store, desk.settings, number, now, foresee=foresee_now), foresee_now


def test_another_process_tells_the_same_from_the_shelf(store: Store) -> None:
    """Times, risk and help alike; a few minutes later with its age."""
    desk = FrontDesk(store)
    board = busy(desk)
    here = order_answer(
        store, desk.settings, "OB-1", desk.now, foresee=foresight(store, desk.settings, desk.now)
    )
    assert here.helps
    there, told = asked(desk, "OB-1", board)
    assert there.as_json() == here.as_json()
    assert told().took == 0.0
    later, _ = asked(desk, "OB-1", board, minutes=4)
    assert later.ready
    assert here.ready
    assert later.ready == {**here.ready, "as_of": "2026-12-02T10:00:00Z"}
    assert "(as of Wed 2 Dec 10:00)" in later.says


def test_what_was_booked_of_the_order_itself_is_not_told_from_before(store: Store) -> None:
    """Of another order that was scanned meanwhile it is; of the scanned one a new forecast is made."""
    desk = FrontDesk(store)
    board = busy(desk)
    (code,) = desk.take("OB-3", items=[item("third.png", 40)], due="2026-12-18")
    before = board.content
    other, told = asked(desk, "OB-1", board, minutes=4)
    assert other.ready
    assert other.ready["as_of"] == "2026-12-02T10:00:00Z"
    desk.scan(code, "print")
    third, told = asked(desk, "OB-3", board, minutes=4)
    assert third.ready
    assert "as_of" not in third.ready
    assert told().took > 0
    assert board.content == before


def test_pages_tell_the_age_of_what_was_booked_since_however_small(books: Store) -> None:
    """They do not wait for a new forecast; the order that was scanned a moment ago is told as of before."""
    desk = FrontDesk(books)
    desk.take("OB-1", items=[item("large.png", 900)], due="2026-12-03")
    (code,) = desk.take("OB-2", items=[item("small.png", 5)])
    slowest = _Newest()
    slowest.kept, slowest.key = slow(desk), (mark_books(books), desk.now, desk.settings)
    slowest.rest_until = float("inf")  # as if the one before had taken very long
    _NEWEST[books] = slowest
    desk.ledger.scan(ScanRequest(code, "print", 1))
    pages = foresight(books, desk.settings, desk.now, patience=0.0)
    scanned, other = (
        order_answer(books, desk.settings, number, desk.now, foresee=pages) for number in ("OB-2", "OB-1")
    )
    assert scanned.ready
    assert other.ready
    assert "as_of" in scanned.ready
    assert "as_of" not in other.ready


@pytest.mark.parametrize("minutes", [11.0, -1.0])
def test_an_old_one_is_not_told_nor_one_of_the_future(books: Store, minutes: float) -> None:
    """After ten minutes a new one is waited for; a clock that was set back trusts nothing."""
    desk = FrontDesk(books)
    board = busy(desk)
    order, told = asked(desk, "OB-1", board, minutes)
    assert told().took > 0
    assert order.ready
    assert "as_of" not in order.ready


def test_a_forecast_of_other_books_or_other_hours_is_not_told(books: Store, tmp_path: Path) -> None:
    """Restored books may have as many events; their times differ. Hours that were changed count at once."""
    desk = FrontDesk(books)
    board = busy(desk)
    (tmp_path / "other").mkdir()
    with closing(open_store(desk.settings, tmp_path / "other", create=True)) as others:
        other = FrontDesk(others, now=desk.now + timedelta(seconds=1))
        busy(other)
        assert mark_books(others).event == mark_books(books).event
        assert booked_since(others, mark_books(books)) is None
        _, told = asked(other, "OB-1", board)
        assert told().took > 0
    closed = desk.settings.line.model_copy(update={"closed": ("2026-12-02",)})
    desk.settings = desk.settings.model_copy(update={"line": closed})
    order, told = asked(desk, "OB-1", board)
    assert told().took > 0
    assert "Thu 3 Dec" in order.says


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"format": 1}', b'{"format": 99}', b"\xff\x00"])
def test_half_a_file_is_no_forecast(books: Store, content: bytes) -> None:
    """A power cut, another program: it is made again, and nobody sees an error."""
    desk = FrontDesk(books)
    board = busy(desk)
    for bad in (content, board.content[: len(board.content) // 2]):
        broken = Board()
        broken.content = bad
        assert read_shelved(bad) is None
        assert asked(desk, "OB-1", broken)[1]().took > 0


def test_what_is_quickly_made_is_not_kept_and_an_older_one_replaces_none(books: Store) -> None:
    """A small shop's shelf stays empty; two that make one at a time leave the newer."""
    desk, board = FrontDesk(books), Board()
    desk.take("OB-1")
    quick, told = asked(desk, "OB-1", board)
    assert quick.ready
    if told().took <= SHORT_SECONDS:
        told.put_on_shelf()
        assert board.content == b""
    old = slow(desk)
    desk.take("OB-2")
    put_on_shelf(board, desk.settings, slow(desk))
    newer = board.content
    put_on_shelf(board, desk.settings, old)
    assert newer == board.content
    assert read_shelved(newer)


def test_lots_of_open_orders_are_counted_up_to_a_number(store: Store) -> None:
    """As many as it takes to know that a forecast would be waited for."""
    desk = FrontDesk(store)
    desk.take("OB-1", items=[item("a.png"), item("b.png")])
    assert has_lots(store, 2)
    assert not has_lots(store, 3)
