"""The daemon: look, settle, claim, take, check, print, for months; one bad file never stops the rest."""

from __future__ import annotations

import contextlib
import logging
import signal
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor

from intake.durable import sweep_temporaries
from intake.film.idle import IdleFinisher
from intake.forecasts import Forecaster
from intake.inbox.arrivals import SAFE, SETTLING
from intake.inbox.claiming import sweep_unfinished
from intake.inbox.clearing import return_strays
from intake.inbox.rounds import Memory, Round
from intake.inbox.watching import Waker
from intake.judging import Judges
from intake.letters.sending import send_written
from intake.letters.writing import write_due_messages
from intake.logbook import kept_log
from intake.naming import in_log, shown_path
from intake.outbox import write_due_reports
from intake.papers import write_due_papers
from intake.pipeline import run_round
from intake.print_command import CommandPrinter
from intake.printing import PaperPrinter
from intake.sandbox import Sandbox
from intake.service import find_service_manager
from intake.shop import Shop
from intake.single import only_one
from tickets.problems import ShopProblem

_log = logging.getLogger(__name__)
PAUSE_SECONDS = 2.0  # between tries while the shop itself is in trouble
FINISH_AGAIN_SECONDS = 5.0  # between two looks for planned runs that may be laid closer
PRESS_AGAIN_SECONDS = 30.0  # between tries to write papers after one failed
WORK_SECONDS = 0.5  # between two looks for items to check, in the middle of a round
SWEEP_SECONDS = 3600.0  # half-written files so old have no writer any more; a film run is proved for minutes
DAY_SECONDS = 86_400.0  # between two sweeps of what is left over
ONCE_SECONDS = 30.0  # `--once` waits so long, or five settle times, for files that do not settle


def watch_shop(shop: Shop, *, once: bool = False) -> Iterator[str]:
    """Take files in until stopped (`once`: until everything there is dealt with); yields lines for people.

    SIGTERM and Ctrl-C finish the step at hand. Raises SetupProblem `already-watching`, and with `once`
    whatever keeps the shop from working.
    """
    stop = threading.Event()
    with kept_log(shop.folder), _stopped_by_signals(stop):
        yield f"Taking in what lies in {shop.inbox}." if once else f"Watching {shop.inbox}. Ctrl-C stops."
        yield from run_watch(shop, once=once, stop=stop)


def run_watch(
    shop: Shop, *, once: bool, stop: threading.Event, monotonic: Callable[[], float] = time.monotonic
) -> list[str]:
    """Run the daemon in this thread until `stop` is set; with `once` returns what still waits, in lines."""
    with only_one(shop) as holder, Sandbox(shop.settings.sandbox) as sandbox:
        daemon = Daemon(shop, sandbox, holder, stop, monotonic)
        try:
            return daemon.run_once() if once else daemon.run()
        finally:
            daemon.close()


class Daemon:
    """What a running intake holds: its memory, its threads, and how it tells of itself."""

    def __init__(
        self,
        shop: Shop,
        sandbox: Sandbox,
        holder: str,
        stop: threading.Event,
        monotonic: Callable[[], float] = time.monotonic,
    ) -> None:
        self._shop = shop
        self._holder = holder
        self._stop = stop
        self._monotonic = monotonic
        self._waker = Waker(shop.inbox)
        self._service = find_service_manager()
        self._judges = Judges(shop, sandbox, self._waker.wake)
        self._press = ThreadPoolExecutor(1, thread_name_prefix="papers")
        self._printing: Future[bool] | None = None
        self._post = ThreadPoolExecutor(1, thread_name_prefix="post")
        self._posting: Future[None] | None = None
        self._print_again_at = 0.0
        by_command = CommandPrinter.of(shop.settings.papers, stop.is_set)
        self._printer = PaperPrinter(shop, by_command, holder, monotonic, stop.is_set)
        self._tray = ThreadPoolExecutor(1, thread_name_prefix="printer")
        self._on_paper: Future[None] | None = None
        self._forecaster = Forecaster(shop, monotonic)
        self._ahead = ThreadPoolExecutor(1, thread_name_prefix="forecast")
        self._foreseeing: Future[None] | None = None
        self._finisher = IdleFinisher(shop, lambda: stop.is_set() or self._judges.is_busy)
        self._laying = ThreadPoolExecutor(1, thread_name_prefix="film")
        self._finishing: Future[None] | None = None
        self._finish_again_at = 0.0
        self._memory: Memory | None = None
        self._judged = 0
        self._trouble = ""
        self._unreadable: set[str] = set()
        self._beaten_at = float("-inf")
        self._swept_at = float("-inf")
        self._worked_at = float("-inf")

    def run(self) -> list[str]:
        """Round after round until stopped. Trouble with the shop is told once, and waited out."""
        _log.info("event=started holder=%s", in_log(self._holder))
        while not self._stop.is_set():
            seconds = PAUSE_SECONDS
            try:
                self._waker.keep_watching(self._monotonic())
                round_ = self._run_round(is_hasty=False)
                self._start_work()
                self._lay_closer()
                self._tell_trouble("")
                seconds = min(self._shop.settings.intake.scan_seconds, round_.wake_in)
            except ShopProblem as problem:
                self._tell_trouble(str(problem), problem.slug)
            except Exception as error:
                says = f"Something unexpected happened: {error}"
                if says != self._trouble:
                    _log.exception("event=unexpected")
                self._tell_trouble(says, "unexpected")
            self._beat()
            self._service.ready()
            self._waker.wait(seconds, self._stop)
        self._service.stopping()
        _log.info("event=stopped")
        return []

    def run_once(self) -> list[str]:
        """Until everything that is there has settled and is dealt with. Raises ShopProblem in trouble."""
        settings = self._shop.settings.intake
        longest = max([settings.settle_seconds, *(f.settle_seconds or 0 for f in settings.folder)])
        patience = self._monotonic() + max(ONCE_SECONDS, 5 * longest)
        while not self._stop.is_set():
            round_ = self._run_round(is_hasty=True)
            self._start_work()
            self._beat()
            is_open = bool(round_.settling_now or round_.to_clear) and self._monotonic() < patience
            if not (round_.events or is_open or self._judges.is_busy or self._is_news()):
                break
            self._waker.wait(min(settings.scan_seconds, round_.wake_in), self._stop)
        self._judges.raise_trouble()
        self._finish_papers()
        return self._what_waits()

    def close(self) -> None:
        """Finish what is at hand: checks that were begun, the paper that is being written."""
        self._judges.close()
        self._press.shutdown(wait=True)
        self._post.shutdown(wait=True, cancel_futures=True)
        self._tray.shutdown(wait=True, cancel_futures=True)
        self._ahead.shutdown(wait=True, cancel_futures=True)
        self._laying.shutdown(wait=True, cancel_futures=True)
        self._waker.close()
        self._beat("stopped")

    def _run_round(self, *, is_hasty: bool) -> Round:
        if self._memory is None:
            self._memory = self._recall()
        if self._is_news():
            self._memory.asked.clear()
            self._judged = self._judges.booked
        round_ = Round(self._shop, self._memory, self._monotonic(), is_hasty, self._pulse, self._stop.is_set)
        run_round(round_)
        self._tell_unreadable(round_.listing.unreadable)
        return round_

    def _tell_unreadable(self, folders: Mapping[str, str]) -> None:
        for folder in folders.keys() - self._unreadable:
            _log.warning("event=folder-unreadable path=%s why=%s", in_log(folder), in_log(folders[folder]))
        self._unreadable = set(folders)

    def _recall(self) -> Memory:
        """At the start, and again after the books were away: what they say, and what a dead daemon left."""
        sweep_unfinished(self._shop)
        self._swept_at = float("-inf")
        memory = Memory.recalled(self._shop)
        known = {(k.path, k.sha256) for k in memory.done.values() if k.is_open and k.standing in SAFE}
        for path in return_strays(self._shop, known):
            _log.warning("event=returned path=%s", in_log(str(path)))
        return memory

    def _sweep(self) -> None:
        shop = self._shop
        try:
            for folder in (shop.derived, shop.papers, shop.outbox, shop.refused):
                sweep_temporaries(folder, time.time() - SWEEP_SECONDS)
            while shop.ledger.forget_old_keys():
                pass
        except Exception:
            _log.exception("event=sweep-failed")

    def _is_news(self) -> bool:
        return self._judged != self._judges.booked

    def _pulse(self) -> None:
        """In the middle of a long round: be seen to be alive, and have checked and printed what was taken."""
        self._beat()
        if self._monotonic() - self._worked_at >= WORK_SECONDS:
            self._start_work()

    def _start_work(self) -> None:
        self._worked_at = self._monotonic()
        if self._worked_at - self._swept_at >= DAY_SECONDS:
            self._swept_at = self._worked_at
            self._press.submit(self._sweep)
        self._judges.start_new()
        if self._posting is None or self._posting.done():
            self._posting = self._post.submit(self._send_mail)
        if self._on_paper is None or self._on_paper.done():
            self._on_paper = self._tray.submit(self._put_on_paper)
        if self._foreseeing is None or self._foreseeing.done():
            self._foreseeing = self._ahead.submit(self._foresee)
        done = self._printing is None or self._printing.done()
        if done and self._monotonic() >= self._print_again_at:
            if self._printing is not None and not self._printing.result():
                self._print_again_at = self._monotonic() + PRESS_AGAIN_SECONDS
                self._printing = None
                return
            self._printing = self._press.submit(self._write_papers)

    def _write_papers(self) -> bool:
        """Whether all that is due was written; what was not is tried again later."""
        try:
            write_due_papers(self._shop)
            write_due_reports(self._shop)
            write_due_messages(self._shop)
        except Exception:
            _log.exception("event=papers-failed")
            return False
        return True

    def _send_mail(self) -> None:
        try:
            send_written(self._shop)
        except Exception:
            _log.exception("event=mail-failed")

    def _put_on_paper(self) -> None:
        """In a thread of its own: a printer that hangs keeps nothing else waiting."""
        try:
            self._printer.print_due()
        except Exception:
            _log.exception("event=printing-failed")

    def _foresee(self) -> None:
        try:
            self._forecaster.keep_fresh()
        except Exception:
            _log.exception("event=forecast-failed")

    def _lay_closer(self) -> None:
        """Nothing else is at hand: a planned run is laid closer, for what others leave of the processor."""
        is_at_it = self._finishing is not None and not self._finishing.done()
        if is_at_it or self._judges.is_busy or self._monotonic() < self._finish_again_at:
            return
        self._finish_again_at = self._monotonic() + FINISH_AGAIN_SECONDS
        self._finishing = self._laying.submit(self._finish_a_run)

    def _finish_a_run(self) -> None:
        try:
            self._finisher.finish_next()
        except Exception:
            _log.exception("event=finishing-failed")

    def _finish_papers(self) -> None:
        if self._printing is not None:
            self._printing.result()
        self._write_papers()
        if self._posting is not None:
            self._posting.result()
        self._send_mail()
        if self._on_paper is not None:
            self._on_paper.result()
        self._put_on_paper()

    def _what_waits(self) -> list[str]:
        memory = self._memory
        lines = [
            f"{shown_path(path)}: {hold.says}"
            for path, (_, hold) in sorted(memory.noted.items() if memory else [])
            if hold.standing in (SETTLING, "waiting")
        ]
        return (
            [f"{len(lines)} waiting:", *lines]
            if lines
            else ["Everything that lay in the inbox is dealt with."]
        )

    def _tell_trouble(self, says: str, slug: str = "") -> None:
        """Once when it begins, once when it is over; the heartbeat says it as long as it lasts."""
        if says == self._trouble:
            return
        if says:
            _log.error("event=paused slug=%s why=%s", slug, in_log(says))
            self._memory = None if slug != "disk-full" else self._memory
        else:
            _log.info("event=resumed")
        self._trouble = says
        self._beaten_at = float("-inf")

    def _beat(self, says: str = "") -> None:
        """Say in the books that intake is alive; also called during long copies."""
        now = self._monotonic()
        if not says and now - self._beaten_at < self._shop.settings.intake.heartbeat_seconds:
            return
        self._beaten_at = now
        words = says or self._trouble or self._printer.says or "watching"
        self._service.alive(words)
        try:
            self._shop.ledger.beat("intake", words, self._holder)
        except Exception as error:  # the books are away: the silence itself tells that
            _log.debug("event=no-heartbeat why=%s", in_log(str(error)))


@contextlib.contextmanager
def _stopped_by_signals(stop: threading.Event) -> Iterator[None]:
    """SIGTERM and Ctrl-C set `stop`; a second one ends the program as usual."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    names = [name for name in ("SIGINT", "SIGTERM", "SIGBREAK") if hasattr(signal, name)]
    before = {getattr(signal, name): signal.getsignal(getattr(signal, name)) for name in names}

    def ask_to_stop(number: int, _frame: object) -> None:
        stop.set()
        signal.signal(number, before[signal.Signals(number)])

    for number in before:
        signal.signal(number, ask_to_stop)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
