"""Checks that fail: an artwork is refused only for what lies in it; no item is looked at twice at once."""

from __future__ import annotations

import contextlib
import errno
import threading

import pytest

from intake import judging
from intake.judging import MOST_TRIES, Judges
from tests.intake.shops import Bench, as_file, order, png
from tests.intake.test_daemon import LIMIT_SECONDS, StubSandbox, wait_for
from tickets.lookup import list_orders, unchecked_items
from tickets.problems import SetupProblem


def test_a_check_that_fails_again_and_again_ends_in_a_refusal(bench: Bench) -> None:
    """An item never stays unchecked for ever because of a fault of ours."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    sandbox = StubSandbox(fails=True)
    judges = Judges(bench.shop, sandbox, lambda: None)  # type: ignore[arg-type]
    for _ in range(MOST_TRIES):
        judges.start_new()
        wait_for(lambda: not judges.is_busy)
    judges.close()
    assert sandbox.asked == MOST_TRIES
    assert unchecked_items(bench.shop.store) == []
    assert list_orders(bench.shop.store, bench.shop.settings)[0].as_json()["standing"] == "refused"


def test_trouble_with_the_shop_is_told_and_never_refuses_an_artwork(bench: Bench) -> None:
    """When no worker starts or the books are away, the item waits, and is checked when that is over."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    sandbox = StubSandbox()
    sandbox.trouble = SetupProblem("sandbox-cannot-start", "No worker starts.", "Free some memory.")
    judges = Judges(bench.shop, sandbox, lambda: None)  # type: ignore[arg-type]
    for _ in range(MOST_TRIES + 1):
        with contextlib.suppress(SetupProblem):
            judges.start_new()
        wait_for(lambda: not judges.is_busy)
    with pytest.raises(SetupProblem, match="No worker starts"):
        judges.raise_trouble()
    assert len(unchecked_items(bench.shop.store)) == 1
    sandbox.trouble = None
    with contextlib.suppress(SetupProblem):
        judges.start_new()
    wait_for(lambda: not judges.is_busy)
    judges.start_new()
    judges.close()
    assert not unchecked_items(bench.shop.store)


@pytest.mark.parametrize(("number", "slug"), [(errno.ENOSPC, "disk-full"), (errno.EIO, "disk-trouble")])
def test_a_disk_that_takes_no_picture_never_refuses_an_artwork(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, number: int, slug: str
) -> None:
    """It is not the artwork's fault: the item waits, however often it is tried, and is checked afterwards."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()

    def no_room(*_: object) -> None:
        raise OSError(number, "no", str(bench.shop.derived / ".tmp-1"))

    judges = Judges(bench.shop, StubSandbox(), lambda: None)  # type: ignore[arg-type]
    with monkeypatch.context() as patch:
        patch.setattr(judging, "keep_picture", no_room)
        for _ in range(MOST_TRIES + 1):
            with contextlib.suppress(SetupProblem):
                judges.start_new()
            wait_for(lambda: not judges.is_busy)
        with pytest.raises(SetupProblem) as told:
            judges.raise_trouble()
    assert told.value.slug == slug
    assert str(bench.shop.derived) in str(told.value)
    assert ".tmp-1" not in str(told.value)
    with contextlib.suppress(SetupProblem):
        judges.start_new()
    wait_for(lambda: not judges.is_busy)
    judges.close()
    assert not unchecked_items(bench.shop.store)


def test_what_cannot_be_given_up_in_the_books_is_told_as_trouble(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A check that fails while the books fail too: no pass waits for it for ever."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    judges = Judges(bench.shop, StubSandbox(fails=True), lambda: None)  # type: ignore[arg-type]

    def away(*_: object) -> None:
        raise SetupProblem("database-locked", "The books are away.", "Wait.")

    monkeypatch.setattr(bench.shop.ledger, "book_judgement", away)
    for _ in range(MOST_TRIES):
        judges.start_new()
        wait_for(lambda: not judges.is_busy)
    with pytest.raises(SetupProblem, match="The books are away"):
        judges.raise_trouble()
    judges.close()


def test_an_item_is_looked_at_by_one_thread_at_a_time(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """However often the daemon asks for new work."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    go_on, calls = threading.Event(), []

    def wait(_shop: object, _sandbox: object, item: object) -> None:
        calls.append(item)
        go_on.wait(LIMIT_SECONDS)

    monkeypatch.setattr(judging, "judge_item", wait)
    judges = Judges(bench.shop, StubSandbox(), lambda: None)  # type: ignore[arg-type]
    for _ in range(5):
        judges.start_new()
    wait_for(lambda: len(calls) == 1)
    go_on.set()
    judges.close()
    assert len(calls) == 1
