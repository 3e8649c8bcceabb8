"""One round of the intake, and what it remembers from the rounds before."""

from __future__ import annotations

import contextlib
import logging
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, TypeVar, cast

from sqlalchemy.exc import SQLAlchemyError

from intake.inbox.arrivals import IGNORED, SETTLING, WAITING, Fate, Remembered, is_left, remembered_files
from intake.inbox.contents import Contents
from intake.inbox.listing import Entry, Listing, first_level
from intake.inbox.opening import Changed, StillOpen
from intake.inbox.settling import Settling
from intake.naming import folded, in_log, shown_path
from intake.shop import Shop
from tickets.problems import SetupProblem, ShopProblem
from tickets.requests import ArrivalNote

_log = logging.getLogger(__name__)
T = TypeVar("T")
ASK_AGAIN_SECONDS = 3.0  # between questions to the books about a file that waits
RETRY_SECONDS = 30.0  # after a fault with one file, and between tries to clear one that cannot be cleared


@dataclass(frozen=True, slots=True)
class Hold:
    """Why a file is not taken in this round: what the list of arrivals says of it."""

    standing: str
    says: str
    slug: str = ""
    order: str = ""


@dataclass(slots=True)
class Memory:
    """What is known from one round to the next; all of it can be had again from the books and the inbox."""

    settling: Settling = field(default_factory=Settling)
    contents: dict[str, tuple[str, Contents]] = field(
        default_factory=dict
    )  # path → fingerprint, what it holds
    done: dict[str, Remembered] = field(
        default_factory=dict
    )  # dealt with, still in the inbox or to be cleared
    noted: dict[str, tuple[str, Hold]] = field(default_factory=dict)  # what the list says now
    waited_before: dict[str, tuple[str, float]] = field(default_factory=dict)  # seconds, before this start
    retry_at: dict[str, float] = field(default_factory=dict)
    aside_since: dict[str, float] = field(default_factory=dict)
    fates: dict[str, dict[str, Fate]] = field(
        default_factory=dict
    )  # zip's fingerprint → what became of its members
    emptied: dict[str, float] = field(default_factory=dict)  # folder → when a file was last cleared out of it
    asked: dict[tuple[object, ...], tuple[float, Any]] = field(default_factory=dict)  # answers of the books

    @classmethod
    def recalled(cls, shop: Shop) -> Memory:
        """What the books remember, at the start."""
        memory = cls()
        for path, known in remembered_files(shop).items():
            if known.standing in (SETTLING, WAITING, IGNORED):
                memory.noted[path] = (known.fingerprint, Hold(known.standing, known.says, known.slug))
                waited = (shop.clock() - known.changed_at).total_seconds()
                memory.waited_before[path] = (known.fingerprint, max(0.0, waited))
            else:
                memory.done[path] = known
        return memory

    def forget(self, path: str) -> None:
        """Begin anew with a file that is no longer what it was."""
        self.settling.forget(path)
        self.contents.pop(path, None)
        self.waited_before.pop(path, None)
        self.retry_at.pop(path, None)


@dataclass(slots=True)
class Round:
    """One pass over the inbox. `now` is the daemon's monotonic clock in seconds.

    is_hasty: `watch --once`, which waits for no company and no grace. pulse: called during long copies and
    after each order. is_stopping: whether to come to an end; what is begun is finished.
    """

    shop: Shop
    memory: Memory
    now: float
    is_hasty: bool = False
    pulse: Callable[[], None] = lambda: None
    is_stopping: Callable[[], bool] = lambda: False
    listing: Listing = field(default_factory=Listing)
    unchanged: dict[str, float] = field(default_factory=dict)  # path → seconds, of every file looked at
    settled: dict[str, Entry] = field(default_factory=dict)  # to be dealt with in this round
    holds: dict[str, Hold] = field(default_factory=dict)
    to_clear: dict[str, Remembered] = field(default_factory=dict)
    settling_now: set[str] = field(default_factory=set)
    cleared: list[str] = field(default_factory=list)
    reserved: dict[str, Hold] = field(default_factory=dict)  # artwork that waits with an order
    pending: dict[str, list[Hold]] = field(default_factory=dict)  # zip → why orders in it wait
    wake_in: float = 3600.0  # seconds until something is due without any event
    events: int = 0  # so many things were taken, refused or cleared

    def settle_seconds(self, path: str) -> float:
        """The settle time of the folder that a file lies in."""
        return float(self.shop.settings.folder(first_level(path)).settle_seconds or 0.0)

    def waited(self, path: str) -> float:
        """For how long a file has lain there settled, in seconds, restarts of the daemon included."""
        entry = self.listing.entries[path]
        before, seconds = self.memory.waited_before.get(path, ("", 0.0))
        extra = seconds if before == entry.fingerprint.as_text() else 0.0
        return max(0.0, self.unchanged.get(path, 0.0) + extra - self.settle_seconds(path))

    def is_due(self, path: str, seconds: float) -> bool:
        """Whether a file has waited so long; if not, the next round is set for when it has."""
        left = seconds - self.waited(path)
        if left > 0:
            self.wake_in = min(self.wake_in, left)
        return left <= 0

    def company_is_over(self, path: str) -> bool:
        """Whether a file has waited for its partner so long that the books may be asked for one."""
        return self.is_hasty or self.is_due(path, self.shop.settings.intake.company_seconds)

    def contents_of(self, path: str) -> Contents | None:
        """What a settled file was found to hold."""
        return self.memory.contents.get(path, ("", None))[1]

    def recall(self, ask: Callable[..., T], *words: object) -> T:
        """The books' answer to `ask(shop, *words)`: asked again now and then, and after bookings."""
        key = (ask.__name__, *words)
        until, answer = self.memory.asked.get(key, (0.0, None))
        if until <= self.now:
            answer = ask(self.shop, *words)
            self.memory.asked[key] = (self.now + ASK_AGAIN_SECONDS, answer)
        return cast(T, answer)

    def booked(self) -> None:
        """Something was booked: what the books said before may be out of date."""
        self.events += 1
        self.memory.asked.clear()

    def hold(self, entry: Entry, hold: Hold) -> None:
        """Leave a file where it is, for this reason, and be done with it for this round."""
        self.holds[entry.path] = hold
        self.settled.pop(entry.path, None)

    def finish(self, entry: Entry, standing: str, sha256: str, says: str, slug: str = "") -> None:
        """Remember that a file was dealt with and booked; it is cleared unless taken files stay there."""
        known = Remembered(
            entry.path,
            entry.fingerprint.as_text(),
            sha256,
            standing,
            slug,
            says,
            is_open=not is_left(self.shop, entry.path),
            changed_at=self.shop.clock(),
        )
        _log.info("event=file-%s path=%s slug=%s says=%s", standing, in_log(entry.path), slug, in_log(says))
        self.memory.done[entry.path] = known
        self.memory.noted.pop(entry.path, None)
        self.memory.contents.pop(entry.path, None)
        self.settled.pop(entry.path, None)
        self.holds.pop(entry.path, None)
        if known.is_open:
            self.to_clear[entry.path] = known
        self.booked()

    def note_of(
        self, entry: Entry, hold: Hold, sha256: str = "", path: str = "", size: int | None = None
    ) -> ArrivalNote:
        """What is written about a file, or about a member of it at `path`, as the ledger takes it."""
        at = path or entry.path
        stays = hold.standing not in (SETTLING, WAITING, IGNORED) and (
            bool(path) or is_left(self.shop, entry.path)
        )
        return ArrivalNote(
            path_bytes=os.fsencode(at),
            path=shown_path(at),
            folder=shown_path(entry.folder),
            name_folded=name_key(at.rpartition("/")[2]),
            fingerprint=entry.fingerprint.as_text(),
            standing=hold.standing,
            says=hold.says,
            size=entry.fingerprint.size if size is None else size,
            sha256=sha256,
            order_number=hold.order,
            slug=hold.slug,
            is_open=not stays,
            is_cleared=stays,
        )

    @contextlib.contextmanager
    def one_file(self, entry: Entry) -> Iterator[None]:
        """Whatever goes wrong with one file costs that file this round, and nobody else anything.

        What is wrong with the shop itself (no room, no database) goes on up: then everything waits.
        """
        try:
            yield
        except Changed:
            self.memory.forget(entry.path)
            self.settling_now.add(entry.path)
            self.hold(entry, Hold(SETTLING, "It is still changing."))
            self.wake_in = min(self.wake_in, self.settle_seconds(entry.path))
        except StillOpen:
            self.settling_now.add(entry.path)
            self.memory.retry_at[entry.path] = self.now + self.settle_seconds(entry.path)
            self.hold(entry, Hold(SETTLING, "It is still open for writing in another program."))
        except (SetupProblem, SQLAlchemyError):
            raise
        except ShopProblem as problem:
            self._try_later(entry, Hold(WAITING, str(problem), problem.slug))
        except OSError as error:
            why = error.strerror or str(error)
            self._try_later(entry, Hold(WAITING, f"The file cannot be read: {why}.", "file-unreadable"))
        except Exception:
            _log.exception("event=unexpected path=%s", in_log(entry.path))
            says = "Something unexpected happened with this file; it is safe, and tried again. See the log."
            self._try_later(entry, Hold(WAITING, says, "unexpected"))

    def _try_later(self, entry: Entry, hold: Hold) -> None:
        self.memory.retry_at[entry.path] = self.now + RETRY_SECONDS
        self.hold(entry, hold)


def name_key(name: str) -> str:
    """How the books compare file names: composed, case folded, and always text."""
    return folded(shown_path(name))
