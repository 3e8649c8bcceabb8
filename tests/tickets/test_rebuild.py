"""Whatever is done to orders in whatever order: pieces are conserved, and history and state tell the same."""

from __future__ import annotations

import os
import random
import shutil
import tempfile
from collections import Counter
from contextlib import closing
from pathlib import Path

import hypothesis.strategies as st
import pytest
from hypothesis import HealthCheck, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test
from sqlalchemy import text
from sqlmodel import col, select

from config.settings import Settings
from tests.books import Shopfloor, item_draft, order_draft
from tests.stores import Home, settings_with
from tickets.codes import new_run_code
from tickets.ledger.audit import audit, rebuild
from tickets.lookup.film_plan import Effort, propose_plan, propose_taking_out
from tickets.lookup.film_runs import film_runs
from tickets.models import Item, Lot, Order, Ticket
from tickets.pieces import Spot
from tickets.places import CANCELLED, DISPATCHED, ENDS, SPOILED
from tickets.problems import ShopProblem
from tickets.requests import RunSpoilage
from tickets.standing import REFUSED, UNCHECKED
from tickets.store import DATABASE_NAME

TABLES = (
    *("orders", "items", "tickets", "lots", "scans", "movements", "events"),
    *("film_runs", "film_pieces", "film_wishes"),
)
STATIONS = ("print", "powder", "cure", "press", "dispatch")
SERVICES = st.sampled_from(["pressed", "transfers"])


def with_film(shop: Settings) -> Settings:
    """A shop that prints a spare for each ticket, on short runs."""
    laying = shop.film.laying.model_copy(update={"spares": 1, "run_mm": 250.0})
    return shop.model_copy(update={"film": shop.film.model_copy(update={"laying": laying})})


class ShopDays(RuleBasedStateMachine):
    """Orders come, are judged, scanned, spoiled, laid on film, held, cancelled and undone at random."""

    template: Path

    def __init__(self) -> None:
        super().__init__()
        # In memory where the system has such a folder: thousands of commits, each synced.
        memory = Path("/dev/shm")
        self.folder = Path(tempfile.mkdtemp(prefix="fdbooks", dir=memory if memory.is_dir() else None))
        shutil.copyfile(self.template, self.folder / DATABASE_NAME)
        shop = with_film(settings_with())
        self.home = Home(shop, self.folder)
        self.floor = Shopfloor(self.home, self.home.open(), shop)
        self.orders = 0

    def teardown(self) -> None:
        self.floor.store.close()
        shutil.rmtree(self.folder, ignore_errors=True)

    @initialize(first=SERVICES, second=SERVICES)
    def take_first_orders(self, first: str, second: str) -> None:
        """Something to work on: one item is clear, the other is not."""
        self.take_order([(first, 3), (second, 2)], part=True)
        self.floor.judge("OB-1")

    @rule(
        items=st.lists(st.tuples(SERVICES, st.integers(1, 4)), min_size=1, max_size=2),
        part=st.booleans(),
    )
    def take_order(self, items: list[tuple[str, int]], part: bool) -> None:
        """A new order of one or two items."""
        self.orders += 1
        drafts = [item_draft(f"{n}.png", q, service=s) for n, (s, q) in enumerate(items)]
        self.floor.take(order_draft(f"OB-{self.orders}", *drafts, allow_part_dispatch=part))

    @rule(
        verdict=st.sampled_from(["clear", "clear", "query", "refuse"]), pick=st.randoms(use_true_random=False)
    )
    def judge(self, verdict: str, pick: random.Random) -> None:
        """The preflight answers about one of the items."""
        number, item = self.choose_item(pick)
        self.floor.judge(number, verdict, item)

    @rule(pick=st.randoms(use_true_random=False), sha=st.sampled_from("abc"))
    def drop_artwork(self, pick: random.Random, sha: str) -> None:
        """Corrected artwork comes with its order file."""
        number, _ = self.choose_item(pick)
        with self.floor.store.reading() as session:
            asked = select(Item).join(Order).where(Order.number == number).order_by(col(Item.number))
            drafts = [
                item_draft(i.artwork, i.quantity, service=i.service, artwork_sha256=sha)
                for i in session.exec(asked)
            ]
        self.floor.take(order_draft(number, *drafts))

    @rule(
        pick=st.randoms(use_true_random=False),
        station=st.sampled_from(STATIONS),
        good=st.none() | st.integers(0, 3),
        spoiled=st.integers(0, 2),
        catch_up=st.booleans(),
        part=st.booleans(),
    )
    def scan(
        self,
        pick: random.Random,
        station: str,
        good: int | None,
        spoiled: int,
        catch_up: bool,
        part: bool,
    ) -> None:
        """A ticket is scanned somewhere."""
        more = {"spoiled": spoiled, "catch_up": catch_up, "part": part, "why": "because"}
        self.attempt(lambda code: self.floor.scan(code, station, good, **more), pick)

    @rule(pick=st.randoms(use_true_random=False), part=st.booleans())
    def dispatch_order(self, pick: random.Random, part: bool) -> None:
        """A whole order is scanned at dispatch."""
        number, _ = self.choose_item(pick)
        self.attempt(lambda _code: self.floor.scan(number, "dispatch", part=part, why="because"), pick)

    @rule(pick=st.randoms(use_true_random=False), pieces=st.integers(1, 3))
    def lay_in_run(self, pick: random.Random, pieces: int) -> None:
        """Some pieces of a ticket are laid on a film."""
        run = new_run_code(self.floor.random)
        self.attempt(lambda code: self.floor.ledger.lay_in_run(run, {code: pieces}), pick)

    @rule(
        pick=st.randoms(use_true_random=False), station=st.sampled_from(STATIONS[:4]), catch_up=st.booleans()
    )
    def scan_run(self, pick: random.Random, station: str, catch_up: bool) -> None:
        """A film run is scanned."""
        with self.floor.store.reading() as session:
            runs = sorted(session.exec(select(Lot.run).where(Lot.run != "").distinct()))
        if runs:
            run = pick.choice(runs)
            self.attempt(lambda _code: self.floor.scan(run, station, catch_up=catch_up), pick)
            if pick.random() < 0.3:
                self.attempt(lambda _code: self.floor.ledger.undo(run), pick)

    @rule(pick=st.randoms(use_true_random=False), book=st.booleans())
    def plan_film(self, pick: random.Random, book: bool) -> None:
        """What waits is laid on film; now and then something happens before the plan is booked."""
        floor = self.floor
        try:
            proposal = propose_plan(floor.store, floor.settings, Effort(seconds=0))
        except ShopProblem:
            return
        if not book:
            self.attempt(lambda code: floor.scan(code, "print", 1), pick)
        self.attempt(lambda _code: floor.ledger.keep_film_plan(proposal.keep), pick)

    @rule(
        pick=st.randoms(use_true_random=False),
        act=st.sampled_from(["spoil", "spoil", "drop", "pin", "take-out", "free"]),
        pieces=st.none() | st.integers(1, 2),
    )
    def act_on_run(self, pick: random.Random, act: str, pieces: int | None) -> None:
        """A stored run is spoiled in part or whole, dropped or pinned; a ticket is taken out of the plans."""
        floor, ledger = self.floor, self.floor.ledger
        runs = [answer.run for answer in film_runs(floor.store, everything=True)]
        if not runs:
            return
        run = pick.choice(runs)
        on_run = pick.choice([*(p.code for p in run.pieces), ""])
        to_mm = pick.choice([None, 60.0, 150.0])
        asked = RunSpoilage(run.code, on_run if not to_mm else "", pieces, None, to_mm, "because")
        acts = {
            "spoil": lambda _code: ledger.spoil_run(asked),
            "drop": lambda _code: ledger.drop_run(run.code),
            "pin": lambda _code: ledger.pin_run(run.code),
            "take-out": lambda code: ledger.keep_film_plan(
                propose_taking_out(floor.store, floor.settings, code), "", {code: ""}
            ),
            "free": lambda code: ledger.wish_film(code, None),
        }
        self.attempt(acts[act], pick)

    @rule(pick=st.randoms(use_true_random=False))
    def undo(self, pick: random.Random) -> None:
        """The last scan of a ticket is taken back."""
        self.attempt(self.floor.ledger.undo, pick)

    @rule(pick=st.randoms(use_true_random=False), pieces=st.integers(1, 2))
    def remake(self, pick: random.Random, pieces: int) -> None:
        """Dispatched pieces come back and are made again."""
        self.attempt(lambda code: self.floor.ledger.remake(code, pieces, "because"), pick)

    @rule(pick=st.randoms(use_true_random=False), pieces=st.none() | st.integers(1, 3))
    def cancel(self, pick: random.Random, pieces: int | None) -> None:
        """Some pieces of a ticket are cancelled."""
        self.attempt(lambda code: self.floor.ledger.cancel(code, pieces, "because"), pick)

    @rule(pick=st.randoms(use_true_random=False), quantity=st.integers(1, 9))
    def change_quantity(self, pick: random.Random, quantity: int) -> None:
        """More or fewer pieces of an item are wanted."""
        self.attempt(lambda code: self.floor.ledger.change_quantity(code, quantity, "because"), pick)

    @rule(
        pick=st.randoms(use_true_random=False), act=st.sampled_from(["hold", "release", "release", "cancel"])
    )
    def act_on_order(self, pick: random.Random, act: str) -> None:
        """An order is held, released or cancelled by its number."""
        number, _ = self.choose_item(pick)
        ledger = self.floor.ledger
        acts = {
            "hold": lambda _code: ledger.hold(number, "because"),
            "release": lambda _code: ledger.release(number, "Ines"),
            "cancel": lambda _code: ledger.cancel(number, None, "because"),
        }
        self.attempt(acts[act], pick)

    @rule(pick=st.randoms(use_true_random=False), is_hold=st.booleans())
    def act_on_ticket(self, pick: random.Random, is_hold: bool) -> None:
        """A ticket is held or released."""
        ledger = self.floor.ledger
        if is_hold:
            self.attempt(lambda code: ledger.hold(code, "because"), pick)
        else:
            self.attempt(lambda code: ledger.release(code, "Ines"), pick)

    @invariant()
    def the_contracts_sums_hold(self) -> None:
        """Of each ticket, and of each item over all its tickets."""
        with self.floor.store.reading() as session:
            tickets = session.exec(select(Ticket)).all()
            lots: dict[int, dict[Spot, int]] = {t.id or 0: {} for t in tickets}
            for lot in session.exec(select(Lot)):
                lots[lot.ticket_id][Spot(lot.place, lot.run)] = lot.count
            for ticket in tickets:
                mine = lots[ticket.id or 0]
                assert sum(mine.values()) == (0 if ticket.withdrawn else ticket.quantity)
                assert rebuild(session, ticket) == mine
            for item in session.exec(select(Item)):
                mine_all = [lots[t.id or 0] for t in tickets if t.item_id == item.id]
                total = sum(n for of in mine_all for spot, n in of.items() if spot.place != SPOILED)
                assert total == (item.quantity if mine_all else 0)
                if not mine_all:
                    assert item.standing in (UNCHECKED, REFUSED)
                if item.service == "transfers":
                    assert not any(spot.place == "press" for of in mine_all for spot in of)

    @invariant()
    def runs_hold_no_more_than_lies_on_them(self) -> None:
        """Of each ticket, the books have at most the pieces in a run that its film has left."""
        for answer in film_runs(self.floor.store, everything=True):
            run = answer.run
            with self.floor.store.reading() as session:
                asked = select(Ticket.code, Lot.count).join(Ticket).where(Lot.run == run.code)
                in_run: Counter[str] = Counter()
                for code, count in session.exec(asked):
                    in_run[code] += count
            on_film = Counter(p.code for p in run.pieces if not p.lost and not p.spare)
            assert in_run <= on_film

    @invariant()
    def the_books_do_not_contradict_themselves(self) -> None:
        """Lots, movements, events, holds, standings and closed orders."""
        assert audit(self.floor.store) == []

    def choose_item(self, pick: random.Random) -> tuple[str, int]:
        """Some order's number and an item of it."""
        with self.floor.store.reading() as session:
            asked = select(Order.number, Item.number).join(Item).order_by(col(Item.id))
            return pick.choice(list(session.exec(asked)))

    def attempt(self, act: object, pick: random.Random) -> None:
        """Do something to some ticket; if it is refused, nothing may have changed."""
        with self.floor.store.reading() as session:
            codes = list(session.exec(select(Ticket.code).order_by(col(Ticket.id))))
        if not codes:
            return
        before = self.state()
        try:
            act(pick.choice(codes))  # type: ignore[operator]
        except ShopProblem:
            assert self.state() == before

    def state(self) -> list[object]:
        """Everything that a refused act must leave alone."""
        with self.floor.store.reading() as session:
            return [session.execute(text(f"SELECT * FROM {table} ORDER BY 1")).all() for table in TABLES]


def test_any_days_work_conserves_pieces_and_can_be_rebuilt(sqlite_template: Path) -> None:
    """Random days: the sums hold after every act, and the events alone give the same state.

    `FILMDOCKET_EXAMPLES` asks for a longer campaign.
    """
    ShopDays.template = sqlite_template
    run_state_machine_as_test(
        ShopDays,
        settings=settings(
            max_examples=int(os.environ.get("FILMDOCKET_EXAMPLES", "15")),
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        ("UPDATE lots SET count = count + 1", "pieces in all"),
        ("UPDATE lots SET place = 'cure' WHERE place = 'powder'", "movements say"),
        ("DELETE FROM events WHERE kind = 'scanned'", "events say"),
        ("DELETE FROM movements WHERE from_place = 'print'", "movements"),
        ("UPDATE tickets SET held_why = 'x'", "not by its events"),
        ("UPDATE orders SET held_why = 'x'", "not by its events"),
        ("UPDATE items SET standing = 'queried'", "stands as queried"),
        ("UPDATE items SET quantity = 41", "not the 41 ordered"),
        ("UPDATE orders SET closed_at = '2026-12-02 10:00:00'", "something is still to do"),
    ],
)
def test_the_audit_sees_whatever_is_changed_behind_its_back(sqlite_home: Home, spoil: str, said: str) -> None:
    """Each kind of contradiction is named."""
    with closing(sqlite_home.open()) as store:
        floor = Shopfloor(sqlite_home, store, sqlite_home.settings)
        [code] = floor.accept()
        floor.scan(code, "print", 10)
        assert audit(store) == []
        with store.writing() as session:
            session.execute(text(spoil))
        assert said in " ".join(audit(store))


def test_every_end_is_an_end() -> None:
    """The places that count as gone are those of the contract."""
    assert set(ENDS) == {DISPATCHED, CANCELLED, SPOILED}
