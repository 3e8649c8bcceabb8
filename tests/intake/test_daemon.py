"""The daemon in this process: troubles told once, checks that fail, heartbeats, the lock, and events."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from watchdog.observers.api import BaseObserver

from intake import daemon, pipeline
from intake.daemon import Daemon, run_watch
from intake.facts import Preflight, Verdict
from intake.inbox import watching
from intake.inbox.rounds import Round
from intake.inbox.watching import PROOF_SECONDS, RETRY_SECONDS, Waker
from intake.preflight import PreflightJob
from intake.shop import MARKER, Shop
from intake.single import only_one
from tests.intake.shops import Bench, as_file, order, png
from tickets.lookup import list_arrivals, list_orders
from tickets.problems import SetupProblem

FAST = "[intake]\nsettle_seconds = 0.05\nscan_seconds = 0.05\nheartbeat_seconds = 0.05\nmin_free_mb = 0\n"
LIMIT_SECONDS = 30.0
Benches = Callable[..., Bench]


def wait_for(what: Callable[[], bool]) -> None:
    """Wait until something is so, within a limit."""
    until = time.monotonic() + LIMIT_SECONDS
    while not what():
        assert time.monotonic() < until, "waited in vain"
        time.sleep(0.02)


class StubSandbox:
    """Answers every job at once, or fails as a test wants it."""

    def __init__(self, *_settings: object, fails: bool = False) -> None:
        self.asked = 0
        self.trouble: SetupProblem | None = None
        self._fails = fails

    def __enter__(self) -> StubSandbox:
        return self

    def __exit__(self, *_error: object) -> None:
        return

    def preflight(self, job: PreflightJob) -> Preflight:
        """A clear answer."""
        self.asked += 1
        if self.trouble:
            raise self.trouble
        if self._fails:
            raise RuntimeError("a fault of our own")
        return Preflight(job.name, Verdict.CLEAR, (90.0, 90.0), {}, (), png())


@pytest.fixture
def shop(new_bench: Benches, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A fast shop on the real clock, whose artwork is always clear."""
    bench = new_bench(FAST)
    monkeypatch.setattr(daemon, "Sandbox", StubSandbox)
    return bench.shop


class Running:
    """A daemon in a thread."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.stop = threading.Event()
        self._thread = threading.Thread(
            target=run_watch, args=(shop,), kwargs={"once": False, "stop": self.stop}
        )

    def __enter__(self) -> Running:
        self._thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self.stop.set()
        self._thread.join(LIMIT_SECONDS)
        assert not self._thread.is_alive()

    def orders(self) -> list[str]:
        """The numbers in the books."""
        found = list_orders(self.shop.store, self.shop.settings)
        return sorted(str(o.as_json()["order"]) for o in found)


def drop(shop: Shop, number: str = "OB-1") -> None:
    """An order and its artwork."""
    (shop.inbox / "order.json").write_bytes(as_file(order(number)))
    (shop.inbox / "crest.png").write_bytes(png())


def test_what_is_dropped_is_taken_checked_and_printed(shop: Shop) -> None:
    """From the inbox to the ticket's paper, with the heartbeat going on."""
    with Running(shop) as running:
        drop(shop)
        wait_for(lambda: any(shop.papers.rglob("*.pdf")))
        assert running.orders() == ["OB-1"]
        first = list_arrivals(shop.store, None).as_json()["heartbeat"]
    assert first is not None


def test_trouble_is_told_once_and_waited_out(shop: Shop, caplog: pytest.LogCaptureFixture) -> None:
    """A full disk, say: one line when it begins, one when it is over, and nothing is lost in between."""
    from intake.inbox import claiming

    caplog.set_level(logging.INFO)
    with pytest.MonkeyPatch.context() as patch, Running(shop) as running:
        patch.setattr(daemon, "PAUSE_SECONDS", 0.02)
        full = threading.Event()

        def no_room(_shop: Shop, _size: int) -> None:
            if not full.is_set():
                raise SetupProblem("disk-full", "The disk is full.")

        patch.setattr(claiming, "want_room", no_room)
        drop(shop)
        wait_for(lambda: "slug=disk-full" in caplog.text)
        full.set()
        wait_for(lambda: running.orders() == ["OB-1"])
    assert caplog.text.count("slug=disk-full") == 1
    assert caplog.text.count("event=resumed") == 1


def test_a_bug_in_one_round_does_not_end_the_daemon(shop: Shop, caplog: pytest.LogCaptureFixture) -> None:
    """Its traceback is in the log; the next round goes on."""
    rounds = 0
    run_round = pipeline.run_round

    def stumble(round_: object) -> None:
        nonlocal rounds
        rounds += 1
        if rounds == 2:
            raise RuntimeError("boom")
        run_round(round_)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(daemon, "run_round", stumble)
        patch.setattr(daemon, "PAUSE_SECONDS", 0.02)
        with Running(shop) as running:
            drop(shop)
            wait_for(lambda: running.orders() == ["OB-1"])
    assert "boom" in caplog.text


def test_only_one_may_hold_a_shop_folder(bench: Bench) -> None:
    """The second is told who does; afterwards it is free again."""
    with only_one(bench.shop) as holder:
        with pytest.raises(SetupProblem) as caught, only_one(bench.shop):
            pass
        assert caught.value.slug == "already-watching"
        assert holder in caught.value.says
    with only_one(bench.shop):
        pass


def test_events_end_the_wait(tmp_path: Path) -> None:
    """A file that comes cuts the wait short; reading one does not."""
    waker, stop = Waker(tmp_path), threading.Event()
    waker.keep_watching(0.0)
    (tmp_path / "a.png").write_bytes(b"x")
    began = time.monotonic()
    waker.wait(LIMIT_SECONDS, stop)
    assert time.monotonic() - began < LIMIT_SECONDS / 2
    waker.close()


def test_without_events_the_scans_go_on_and_it_is_said_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """No watch to be had, as with too many of them: polling alone, one line in the log."""

    def none_left(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(watching, "_start_observer", none_left)
    waker = Waker(tmp_path)
    for now in range(0, 2000, 100):
        waker.keep_watching(float(now))
        waker.wait(0.0, threading.Event())
    assert caplog.text.count("events-unavailable") == 1


def test_events_are_had_again_when_the_inbox_was_replaced(tmp_path: Path) -> None:
    """A watch hangs on the folder that was there; a new one of that name needs a new watch."""
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    waker, stop = Waker(inbox), threading.Event()
    waker.keep_watching(0.0)
    inbox.rename(tmp_path / "old")
    inbox.mkdir()
    waker.keep_watching(10.0)
    waker.wait(0.0, stop)
    (inbox / "a.png").write_bytes(b"x")
    began = time.monotonic()
    waker.wait(LIMIT_SECONDS, stop)
    assert time.monotonic() - began < LIMIT_SECONDS / 2
    waker.close()


def test_a_daemon_that_is_told_to_stop_in_a_long_round_leaves_the_rest_for_later(bench: Bench) -> None:
    """Orders that it had not come to are neither lost nor listed as if they lacked something."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.round()
    stopped = Round(bench.shop, bench.memory, bench.now + 3, is_stopping=lambda: True)
    pipeline.run_round(stopped)
    assert bench.numbers() == []
    assert bench.standing("crest.png") == "settling"
    bench.restart()
    bench.settle()
    assert bench.numbers() == ["OB-1"]


def test_the_heartbeat_says_what_keeps_intake_from_working(bench: Bench) -> None:
    """`doctor` and the pages read it there."""
    stop = threading.Event()
    beats: list[str] = []
    made = Daemon(bench.shop, StubSandbox(), "here", stop)  # type: ignore[arg-type]
    try:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(bench.shop.ledger, "beat", lambda _name, says, _holder: beats.append(says))
            made._tell_trouble("The inbox is away.", "inbox-gone")
            made._beat()
            made._tell_trouble("")
            made._beat()
    finally:
        made.close()
    assert beats == ["The inbox is away.", "watching"]


def proving(inbox: Path) -> Waker:
    """A waker of an inbox that carries the shop's mark, which has written its cookie."""
    (inbox / MARKER).touch()
    waker = Waker(inbox)
    waker.keep_watching(0.0)
    waker.keep_watching(0.1)
    return waker


def test_events_are_proved_by_a_file_of_our_own(tmp_path: Path) -> None:
    """It arrives, is not left behind, and does not count as something that stirs."""
    waker = proving(tmp_path)
    try:
        assert waker._cookie_seen.wait(10.0)
        waker.keep_watching(0.2)
        assert waker._observer is not None
        assert not waker._stirred.is_set()
        assert [p.name for p in tmp_path.iterdir()] == [MARKER]
    finally:
        waker.close()


def test_a_folder_whose_events_never_arrive_is_scanned_and_that_is_said_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """As on network mounts, which take a watch without an error and then stay silent (notes, row 13)."""
    real, deaf = watching._start_observer, threading.Event()

    def start(inbox: Path, stirred: threading.Event, seen: threading.Event) -> BaseObserver:
        return real(inbox, deaf, deaf) if not heard else real(inbox, stirred, seen)

    heard: list[bool] = []
    monkeypatch.setattr(watching, "_start_observer", start)
    waker = proving(tmp_path)
    try:
        waker.keep_watching(0.1 + PROOF_SECONDS + 0.1)
        assert waker._observer is None
        again = PROOF_SECONDS + RETRY_SECONDS + 1
        for now in (again, again + 0.1, again + PROOF_SECONDS + 1):
            waker.keep_watching(now)
        assert caplog.text.count("events-unavailable") == 1
        heard.append(True)
        again += 2 * RETRY_SECONDS
        waker.keep_watching(again)
        waker.keep_watching(again + 0.1)
        assert waker._cookie_seen.wait(10.0)
        waker.keep_watching(again + 0.2)
        assert waker._observer is not None
    finally:
        waker.close()


def test_no_cookie_is_written_where_the_inbox_has_no_mark(tmp_path: Path) -> None:
    """The empty place under a network folder that is away stays empty (notes, row 24)."""
    waker = Waker(tmp_path)
    try:
        for now in (0.0, 0.1, 100.0):
            waker.keep_watching(now)
        assert not waker._stirred.wait(0.5)
        assert list(tmp_path.iterdir()) == []
        assert waker._observer is not None
    finally:
        waker.close()
