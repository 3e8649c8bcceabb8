"""The only writer of the books: one transaction an act, the event beside the state that it changes."""

from __future__ import annotations

import random as chance
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import TypeVar

from sqlalchemy.exc import DBAPIError

from config.settings import Settings
from tickets.codes import Chooser
from tickets.cost.stocktaking import NoteKind
from tickets.database_words import may_do_again
from tickets.film.advice import Advice
from tickets.film.keeping import FilmPlan
from tickets.ledger import (
    arrivals,
    changing,
    desk,
    film,
    film_spoiling,
    judging,
    keys,
    orders,
    packing,
    parcels,
    printing,
    remaking,
    runs,
    scanning,
    sizing,
    stock,
    telling,
    undoing,
)
from tickets.ledger.books import Books, plain_words
from tickets.requests import (
    ArrivalNote,
    Judgement,
    OrderDraft,
    ParcelChange,
    ParcelMade,
    RepairedArtwork,
    RunSpoilage,
    RunSpoiled,
    ScanAnswer,
    ScanRequest,
    Taken,
)
from tickets.route import Route
from tickets.store import Store

T = TypeVar("T")
_TRIES = 5  # of a transaction that lost a tie with another one, PostgreSQL only

__all__ = ["Ledger"]


class Ledger:
    """Everything that changes a job. Every method is one transaction: done whole, or not at all.

    `clock` gives the time in UTC, aware; `random` chooses ticket codes (the system's own chance when None).
    All methods raise SetupProblem when the database can't be used (see `database_words`).
    """

    def __init__(
        self,
        store: Store,
        settings: Settings,
        clock: Callable[[], datetime],
        random: Chooser | None = None,
    ) -> None:
        self._store = store
        self._settings = settings
        self._route = Route.of(settings)
        self._clock = clock
        self._random = random or chance.SystemRandom()

    def take_order(
        self, draft: OrderDraft, arrivals: Sequence[ArrivalNote], originals: Sequence[tuple[str, int]]
    ) -> Taken:
        """Book a dropped order exactly once by its number, with the arrivals of its files.

        "taken"; "duplicate": the same document and artwork; "revised": new artwork for items that are
        queried, refused or not checked yet; "conflict": other content, or new artwork for what is accepted.
        """
        return self._write(lambda books: orders.take_order(books, draft, arrivals, originals))

    def revise_artwork(
        self,
        order_number: str | None,
        name_folded: str,
        folder: str,
        sha256: str,
        size: int,
        arrival: ArrivalNote,
    ) -> Taken | None:
        """New artwork dropped alone: a revision for each item of that name and folder that waits for one.

        "revised", "duplicate" (the same bytes once more) or "conflict" (the item is accepted); None when no
        open order speaks of that name, or an accepted item has these very bytes: then nothing is written.
        """
        file = replace(arrival, name_folded=name_folded, folder=folder, sha256=sha256, size=size)
        return self._write(lambda books: orders.revise_artwork(books, file, order_number))

    def book_judgement(self, judgement: Judgement) -> None:
        """Book what the preflight found about one item, and issue its ticket unless it was refused."""
        self._write(lambda books: judging.book_judgement(books, judgement))

    def note_arrival(self, note: ArrivalNote) -> None:
        """Write what is known of a file in the inbox: the open row of its path, or a new one."""
        self.note_arrivals([note])

    def note_arrivals(self, notes: Sequence[ArrivalNote]) -> None:
        """The same for several files; a burst of them is one transaction. Safe bytes are remembered too."""
        if notes:
            self._write(lambda books: orders.note_arrivals(books, notes))

    def close_arrival(self, path_bytes: bytes, says: str) -> None:
        """A file has vanished from the inbox by itself."""
        self._write(lambda books: arrivals.close_arrival(books, path_bytes, says))

    def mark_cleared(self, *paths: bytes) -> None:
        """The bytes of these files have left the inbox."""
        if paths:
            self._write(lambda books: arrivals.mark_cleared(books, paths))

    def note_papered(self, code: str, revision: int, *, to_print: bool = False) -> None:
        """A ticket's paper was made for this revision of its artwork; `to_print`: due at the printer."""
        self._write(lambda books: judging.note_papered(books, code, revision, to_print))

    def ask_print(self, codes: Sequence[str], by: str) -> None:
        """Have the papers of these tickets printed (again) by the shop's printer."""
        self._write(lambda books: printing.ask_print(books, codes, by))

    def note_printed(self, answers: Mapping[str, int], by: str = "") -> None:
        """Papers are on paper: ticket code → the event that asked for it. `by` "": by the shop's printer."""
        self._write(lambda books: printing.note_printed(books, answers, by))

    def note_reported(
        self, order_id: int, revisions: Mapping[int, int], file: str = "", address: str = ""
    ) -> None:
        """The customer's report was written for these revisions (item row number → revision)."""
        self._write(lambda books: judging.note_reported(books, order_id, revisions, file, address))

    def note_told(self, telling_id: int, file: str, address: str) -> None:
        """A message to a customer lies in the outbox, whole, under this name; address "": it names none."""
        self._write(lambda books: telling.note_told(books, telling_id, file, address))

    def hand_over(self, telling_id: int) -> bool:
        """Whether a message is still to be sent; from now on it is not sure that it was not."""
        return self._write(lambda books: telling.hand_over(books, telling_id))

    def forget_old_keys(self) -> int:
        """Let go of scans' keys of more than 90 days ago, a few hundred at a time; how many went."""
        return self._write(keys.forget_old_keys)

    def note_sent(self, telling_id: int) -> None:
        """The mail server has taken a message."""
        self._write(lambda books: telling.note_sent(books, telling_id))

    def note_not_sent(self, telling_id: int, says: str, next_try_at: datetime | None) -> None:
        """The mail server has surely not taken a message; None: it is not tried again."""
        self._write(lambda books: telling.note_not_sent(books, telling_id, says, next_try_at))

    def send_again(self, telling_id: int, by: str = "") -> str:
        """Have a message sent once more, because somebody looked and wants it; returns the sentence."""
        by = plain_words(by)
        return self._write(lambda books: telling.send_again(books, telling_id, by))

    def tell_late(self, order: str, ready_at: datetime, why: str = "", by: str = "") -> str:
        """Have a customer told of a new day (aware, UTC): once a day, and only of a later one than before.

        For whoever finds an order late, person or forecast. Raises ShopProblem `not-late`, `nothing-is-late`.
        """
        order, why, by = plain_words(order), plain_words(why), plain_words(by)
        return self._write(lambda books: telling.tell_late(books, order, ready_at, why, by))

    def add_parcel(self, order: str, asked: ParcelChange, by: str = "") -> ParcelMade:
        """Note one parcel of an order, with a serial shipping container code where the shop gives them."""
        order, asked, by = plain_words(order), _plain_parcel(asked), plain_words(by)
        return self._write(lambda books: parcels.add_parcel(books, order, asked, by))

    def change_parcel(self, order: str, number: int, asked: ParcelChange, by: str = "") -> ParcelMade:
        """Another weight or consignment number of a parcel."""
        order, asked, by = plain_words(order), _plain_parcel(asked), plain_words(by)
        return self._write(lambda books: parcels.change_parcel(books, order, number, asked, by))

    def remove_parcel(self, order: str, number: int, by: str = "") -> ParcelMade:
        """Take a parcel out of the books; its numbers are never given again."""
        order, by = plain_words(order), plain_words(by)
        return self._write(lambda books: parcels.remove_parcel(books, order, number, by))

    def put_on_shelf(self, order: str, place: str, by: str = "") -> str:
        """Note where what is ready of an order lies; "" takes it off."""
        order, place, by = plain_words(order), plain_words(place), plain_words(by)
        return self._write(lambda books: parcels.put_on_shelf(books, order, place, by))

    def note_slip(self, dispatch_id: int, revision: int) -> None:
        """A packing slip of this revision lies in papers/, whole."""
        self._write(lambda books: packing.note_slip(books, dispatch_id, revision))

    def beat(self, name: str, says: str, holder: str) -> None:
        """A part of the shop's machinery is alive; the only change that has no event."""
        self._write(lambda books: arrivals.write_heartbeat(books, name, says, holder))

    def scan(self, request: ScanRequest) -> ScanAnswer:
        """Take a scan of a ticket, of a film run, or of an order at dispatch, or raise ShopProblem.

        The same key with the same question counts once and is answered as it was then.
        """
        request = replace(
            request,
            code=plain_words(request.code),
            station=plain_words(request.station).casefold(),
            why=plain_words(request.why),
            by=plain_words(request.by),
            key=plain_words(request.key),
            collected_by=plain_words(request.collected_by),
        )
        return self._write(lambda books: scanning.take_scan(books, request))

    def undo(self, code: str, by: str = "", key: str = "") -> ScanAnswer:
        """Take back the last scan, with the reprint that it made. Raises ShopProblem, e.g. `moved-on`."""
        code, by, key = plain_words(code), plain_words(by), plain_words(key)
        return self._write(lambda books: undoing.take_back(books, code, by, key))

    def hold(self, code: str, why: str, by: str = "") -> str:
        """Stop a ticket, or an order by its number; returns the sentence."""
        code, why, by = plain_words(code), plain_words(why), plain_words(by)
        return self._write(lambda books: desk.put_on_hold(books, code, why, by))

    def release(self, code: str, by: str, note: str = "", *, remember: bool = True) -> str:
        """Answer the open question of a ticket or order; where none is open, end its hold.

        `remember`: the same question is not asked again, where the shop's settings want that.
        """
        code, by, note = plain_words(code), plain_words(by), plain_words(note)
        return self._write(lambda books: desk.let_go(books, code, by, note, remember=remember))

    def repair_artwork(self, code: str, repaired: RepairedArtwork, by: str) -> str:
        """The shop's own repair as a new revision of a queried ticket's artwork, to be checked anew."""
        code, by = plain_words(code), plain_words(by)
        return self._write(lambda books: desk.repair(books, code, repaired, by))

    def cancel(self, code: str, pieces: int | None, why: str, by: str = "") -> str:
        """End pieces of a ticket, those least far along first (None: all), or all of an order."""
        code, why, by = plain_words(code), plain_words(why), plain_words(by)
        return self._write(lambda books: desk.cancel(books, code, pieces, why, by))

    def change_due(self, code: str, due: str, why: str, by: str = "") -> str:
        """Give an open order another due day, such as "2026-12-04"."""
        code, due, why, by = plain_words(code), plain_words(due), plain_words(why), plain_words(by)
        return self._write(lambda books: changing.change_due(books, code, due, why, by))

    def change_quantity(self, code: str, quantity: int, why: str, by: str = "") -> str:
        """Have so many pieces of a ticket's item in all: further pieces are issued, or pieces cancelled."""
        code, why, by = plain_words(code), plain_words(why), plain_words(by)
        return self._write(lambda books: changing.change_quantity(books, code, quantity, why, by))

    def remake(self, code: str, pieces: int, why: str, by: str = "") -> ScanAnswer:
        """Make dispatched pieces of a ticket again, that came back or were short; a reprint in a rush."""
        code, why, by = plain_words(code), plain_words(why), plain_words(by)
        return self._write(lambda books: remaking.remake(books, code, pieces, why, by))

    def lay_in_run(self, run: str, pieces: Mapping[str, int], by: str = "") -> None:
        """Lay so many loose pieces of each ticket, waiting at the first station, into a film run."""
        self._write(lambda books: runs.lay_in_run(books, run, pieces, by))

    def keep_film_plan(
        self, plan: FilmPlan, by: str = "", wishes: Mapping[str, str | None] | None = None
    ) -> list[str]:
        """Have the planned film runs as `plan` says, whole or not at all; returns their codes.

        `wishes`: ticket code → the run that it is to stay in, "" in none, None: as planning likes. Raises
        ShopProblem `plan-overtaken`, `ticket-held`, `ticket-queried`.
        """
        by = plain_words(by)

        def act(books: Books) -> list[str]:
            codes = film.keep_plan(books, plan, by)
            for code, run in (wishes or {}).items():
                film.wish(books, code, run, by)
            return codes

        return self._write(act)

    def drop_run(self, code: str, by: str = "") -> None:
        """Give up a film run that is not printed; its pieces wait at print. Raises ShopProblem."""
        by = plain_words(by)
        self._write(lambda books: film.drop_run(books, code, by))

    def pin_run(self, code: str, by: str = "", *, is_pinned: bool = True) -> None:
        """Have planning leave a planned run as it is, or not any more. Raises `run-not-planned`."""
        by = plain_words(by)
        self._write(lambda books: film.pin_run(books, code, by, is_pinned=is_pinned))

    def wish_film(self, code: str, run: str | None, by: str = "") -> None:
        """Keep a ticket in a planned run, in none (""), or let planning choose (None)."""
        by = plain_words(by)
        self._write(lambda books: film.wish(books, code, run, by))

    def release_run(self, code: str, revision: int, by: str = "") -> None:
        """Release a planned run whose layout of that revision was proved. Raises ShopProblem."""
        by = plain_words(by)
        self._write(lambda books: film.release_run(books, code, revision, by))

    def spoil_run(self, asked: RunSpoilage) -> RunSpoiled:
        """Count pieces on a film run as spoiled; what no spare replaces starts again. Raises ShopProblem."""
        key = plain_words(asked.key)
        asked = replace(asked, why=plain_words(asked.why), by=plain_words(asked.by), key=key)
        return self._write(lambda books: film_spoiling.spoil_run(books, asked))

    def answer_size(self, advice: Advice, by: str, *, is_yes: bool) -> str:
        """Keep the customer's answer on an advised size; a yes is printed so. Raises `size-too-late`."""
        by = plain_words(by)
        return self._write(lambda books: sizing.answer_size(books, advice, by, is_yes=is_yes))

    def note_stock(
        self, kind: NoteKind, consumable: str, amount: float, price: Decimal | None = None, by: str = ""
    ) -> str:
        """Write down stock that was bought, counted, opened or used up; returns the sentence."""
        by = plain_words(by)
        return self._write(lambda books: stock.write_note(books, kind, consumable, amount, price, by))

    def _write(self, act: Callable[[Books], T]) -> T:
        for tries_left in reversed(range(_TRIES)):
            try:
                with self._store.writing() as session:
                    return act(Books(session, self._settings, self._route, self._clock(), self._random))
            except DBAPIError as error:
                if not tries_left or not may_do_again(error):
                    raise
        raise AssertionError("the last try returns or raises")


def _plain_parcel(asked: ParcelChange) -> ParcelChange:
    return asked if asked.consignment is None else replace(asked, consignment=plain_words(asked.consignment))
