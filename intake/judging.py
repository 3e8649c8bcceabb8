"""Checking the artwork of what was taken, in as many threads as there are workers, while intake goes on."""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

from intake.disk import DISK_TROUBLE, disk_problem
from intake.facts import Preflight, Verdict
from intake.faults import reach
from intake.film.outlines import keep_outline
from intake.inbox.claiming import original_path
from intake.logbook import about
from intake.naming import in_log
from intake.pictures import keep_picture
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from intake.shop import Shop
from tickets.film.placing import ArtKey
from tickets.lookup import UncheckedItem, unchecked_items
from tickets.problems import ShopProblem
from tickets.requests import Judgement

_log = logging.getLogger(__name__)
MOST_TRIES = 3  # of one revision, when checking it fails for a reason of our own


class Judges:
    """Has every unchecked item looked at once; what a dead daemon did not book is looked at again."""

    def __init__(self, shop: Shop, sandbox: Sandbox, wake: Callable[[], None]) -> None:
        self._shop = shop
        self._sandbox = sandbox
        self._wake = wake
        workers = shop.settings.sandbox.workers or os.cpu_count() or 1
        self._threads = ThreadPoolExecutor(workers, thread_name_prefix="check")
        self._lock = threading.Lock()
        self._at_work: set[tuple[int, int]] = set()
        self._tries: dict[tuple[int, int], int] = {}
        self._trouble: ShopProblem | None = None  # with the shop, not with an artwork: it is waited out
        self.booked = 0  # how many answers were booked: the books say something new

    @property
    def is_busy(self) -> bool:
        """Whether any item is being looked at or waits for a worker."""
        with self._lock:
            return bool(self._at_work)

    def start_new(self) -> None:
        """Start on every unchecked item that nobody looks at yet.

        Raises the ShopProblem for which the last answer could not be had or booked (the books are away, no
        worker starts): those items are tried again all the same, and the first that is booked ends it.
        """
        unchecked = unchecked_items(self._shop.store)
        for item in unchecked:
            key = (item.item_id, item.revision)
            with self._lock:
                if key in self._at_work:
                    continue
                self._at_work.add(key)
            self._threads.submit(self._look_at, item, key)
        if not unchecked:
            self._trouble = None
        self.raise_trouble()

    def raise_trouble(self) -> None:
        """Raise the ShopProblem that keeps answers from being had or booked, if there is one."""
        trouble = self._trouble  # another thread may clear it meanwhile
        if trouble is not None:
            raise trouble.with_traceback(None)  # raised again and again, it would gather a trace each time

    def close(self) -> None:
        """Finish what is being looked at, begin nothing more."""
        self._threads.shutdown(wait=True, cancel_futures=True)

    def _look_at(self, item: UncheckedItem, key: tuple[int, int]) -> None:
        with about(order=item.order.number, item=item.item.number):
            self._try_to_judge(item, key)

    def _try_to_judge(self, item: UncheckedItem, key: tuple[int, int]) -> None:
        try:
            judge_item(self._shop, self._sandbox, item)
            self.booked += 1
            self._trouble = None
        except ShopProblem as problem:
            self._trouble = problem
        except Exception:
            _log.exception("event=check-failed")
            self._give_up(item, key)
        finally:
            with self._lock:
                self._at_work.discard(key)
            self._wake()

    def _give_up(self, item: UncheckedItem, key: tuple[int, int]) -> None:
        try:
            self._give_up_after(MOST_TRIES, item, key)
        except ShopProblem as problem:  # that cannot be booked either
            self._trouble = problem

    def _give_up_after(self, most: int, item: UncheckedItem, key: tuple[int, int]) -> None:
        """An item that fails again and again is refused, so that a person hears of it."""
        self._tries[key] = self._tries.get(key, 0) + 1
        if self._tries[key] < most:
            return
        says = "The artwork could not be checked: something unexpected happened on our side. See the log."
        finding: dict[str, object] = {
            "check": "file",
            "level": "refuse",
            "measured": None,
            "limit": None,
            "unit": None,
        }
        finding |= {"places_mm": [], "says": says, "do": "Drop it again once the fault is mended."}
        self._shop.ledger.book_judgement(
            Judgement(item.item_id, item.revision, "refuse", None, None, (finding,), {}, "unexpected")
        )
        self.booked += 1


def judge_item(shop: Shop, sandbox: Sandbox, unchecked: UncheckedItem) -> None:
    """Check one item's artwork at its print size and book the answer. May be done twice.

    Raises ShopProblem when the books or the disk are in trouble: the artwork is not to blame, and waits.
    """
    item = unchecked.item
    answer = sandbox.preflight(job_for(shop, unchecked))
    try:
        keep_picture(shop, item.artwork_sha256, item.page, answer.picture_png)
        _keep_outline(shop, item.artwork_sha256, item.page, answer)
    except OSError as error:
        if error.errno in DISK_TROUBLE:
            raise disk_problem(error) from error
        raise
    reach("before-judgement")
    shop.ledger.book_judgement(judgement_of(item.item_id, item.revision, answer))
    reach("after-judgement")
    number = in_log(unchecked.order.number)
    _log.info("event=checked order=%s item=%d verdict=%s", number, item.number, answer.verdict)


def _keep_outline(shop: Shop, sha256: str, page: int | None, answer: Preflight) -> None:
    """What film is laid by: at the size that the books will have of the print."""
    if answer.outline is not None and answer.print_mm is not None:
        keep_outline(shop, ArtKey(sha256, page or 1, *answer.print_mm), answer.outline)


def job_for(shop: Shop, unchecked: UncheckedItem) -> PreflightJob:
    """The question that is asked about an item's artwork."""
    item = unchecked.item
    return PreflightJob(
        path=original_path(shop, item.artwork_sha256),
        name=item.artwork,
        limits=shop.settings.limits,
        film=shop.settings.film,
        page=item.page,
        width_mm=item.ordered_width_mm,
        height_mm=item.ordered_height_mm,
        garment=item.garment_colour or None,
        mirrored=item.mirrored,
        want_outline=True,
    )


def judgement_of(item_id: int, revision: int, answer: Preflight) -> Judgement:
    """The preflight's answer in the form in which it is booked."""
    width_mm, height_mm = answer.print_mm or (None, None)
    refusing = next((f.check for f in answer.findings if f.level == "refuse"), "")
    return Judgement(
        item_id=item_id,
        revision=revision,
        verdict=str(answer.verdict),
        print_width_mm=width_mm,
        print_height_mm=height_mm,
        findings=tuple(dict(f.as_json()) for f in answer.findings),
        measures=dict(answer.measures),
        slug=(answer.slug or refusing) if answer.verdict is Verdict.REFUSE else "",
    )
