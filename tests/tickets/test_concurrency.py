"""Several scanners, desks and daemons at once, on both databases: all of it exactly once."""

from __future__ import annotations

import random
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from sqlmodel import select

from tests.books import Shopfloor, item_draft, order_draft
from tests.stores import Home, Server, settings_with
from tests.tickets.test_ledger_orders import arrival
from tickets.codes import new_run_code
from tickets.ledger.books import Books
from tickets.ledger.devices import DeviceBook
from tickets.ledger.links import LinkBook
from tickets.models import Arrival, Order, SearchWord
from tickets.problems import NotFound, ShopProblem
from tickets.requests import Judgement, ScanAnswer, ScanRequest
from tickets.store import open_store

NOON = datetime(2026, 12, 1, 12, tzinfo=UTC)
LIMIT_SECONDS = 60  # for what takes a second; a lock that never comes free must not hang the tests


@pytest.fixture
def floors(home: Home) -> Iterator[list[Shopfloor]]:
    """The same books, opened four times over, as by four programs; they add up at the end."""
    with ExitStack() as stack:
        opened = [Shopfloor(home, home.open(), home.settings, random=random.Random(7)) for _ in range(4)]
        for floor in opened:
            stack.callback(floor.store.close)
        yield opened
        assert opened[0].contradictions() == []


def at_once(*acts: Callable[[], Any]) -> list[Any]:
    """Run acts in threads that all start at the same moment; what each gave or raised."""
    barrier = threading.Barrier(len(acts))
    results: list[Any] = [None] * len(acts)

    def run(at: int) -> None:
        barrier.wait(LIMIT_SECONDS)
        try:
            results[at] = acts[at]()
        except Exception as error:
            results[at] = error

    threads = [threading.Thread(target=run, args=(at,), daemon=True) for at in range(len(acts))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(LIMIT_SECONDS)
    assert not any(thread.is_alive() for thread in threads), "an act never came back"
    return results


def test_scanners_at_once_move_each_piece_once(floors: list[Shopfloor]) -> None:
    """Four scan the same ticket piece by piece until nothing waits: as many moved as there were."""
    [code] = floors[0].accept(order_draft("OB-1", item_draft(quantity=30)))

    def scan_all(floor: Shopfloor) -> int:
        moved = 0
        while True:
            try:
                floor.scan(code, "print", 1)
            except ShopProblem:  # nothing waits any longer
                return moved
            moved += 1

    moved = at_once(*(lambda floor=floor: scan_all(floor) for floor in floors))
    assert sum(moved) == 30
    assert floors[0].places(code) == {"powder": 30}


def test_one_open_store_serves_many_threads(floors: list[Shopfloor]) -> None:
    """The pages have one ledger and a thread a request."""
    [code] = floors[0].accept()
    answers = at_once(*(lambda n=n: floors[0].scan(code, "print", 5, by=f"device {n}") for n in range(8)))
    assert [type(a) for a in answers] == [ScanAnswer] * 8
    assert floors[0].places(code) == {"powder": 40}


def test_a_key_sent_twice_at_once_counts_once(floors: list[Shopfloor]) -> None:
    """Both get the same answer, one of them as the repeated one."""
    [code] = floors[0].accept()
    for n in range(8):
        request = ScanRequest(code, "print", 4, spoiled=1, why="smeared", key=f"k{n}")
        one, other = at_once(*(lambda floor=floor, r=request: floor.ledger.scan(r) for floor in floors[:2]))
        assert isinstance(one, ScanAnswer)
        assert isinstance(other, ScanAnswer)
        assert one.as_json() == other.as_json()
        assert {one.repeated, other.repeated} == {True, False}
    assert floors[0].places(code) == {"powder": 32, "spoiled": 8}
    assert len(floors[0].codes("OB-1042")) == 9


def test_two_questions_with_one_key_at_once_get_one_answer(floors: list[Shopfloor]) -> None:
    """Whichever comes second is refused, and moves nothing."""
    one, other = floors[0].accept(order_draft("OB-1"))[0], floors[0].accept(order_draft("OB-2"))[0]
    answers = at_once(
        lambda: floors[0].scan(one, "print", key="k"), lambda: floors[1].scan(other, "print", key="k")
    )
    assert [type(a) for a in answers].count(ScanAnswer) == 1
    [refused] = [a for a in answers if isinstance(a, ShopProblem)]
    assert refused.slug == "key-used-for-another"
    moved = [code for code in (one, other) if floors[0].places(code) == {"powder": 40}]
    assert len(moved) == 1


def test_daemons_that_take_the_same_order_at_once_take_it_once(floors: list[Shopfloor]) -> None:
    """One takes it, the others find it there; the same words are indexed once."""
    for n in range(5):
        draft = order_draft(f"OB-{n}", item_draft(), item_draft("back.png"))
        taken = at_once(
            *(
                lambda floor=floor, draft=draft: floor.ledger.take_order(draft, [arrival()], [("sha", 1)])
                for floor in floors
            )
        )
        assert sorted(t.outcome for t in taken) == ["duplicate", "duplicate", "duplicate", "taken"]
        assert len({t.order_id for t in taken}) == 1
    with floors[0].store.reading() as session:
        words = session.exec(select(SearchWord.word)).all()
        assert len(words) == len(set(words))
        assert len(session.exec(select(Arrival)).all()) == 1


def test_orders_at_once_are_all_taken(floors: list[Shopfloor]) -> None:
    """Of one customer, with the same words to index: nobody waits for ever and none is lost."""

    def take_ten(floor: Shopfloor, who: int) -> None:
        for n in range(10):
            floor.accept(order_draft(f"OB-{who}-{n}", item_draft(f"{n}.png")))

    done = at_once(*(lambda floor=floor, who=who: take_ten(floor, who) for who, floor in enumerate(floors)))
    assert done == [None] * 4
    codes = [code for who in range(4) for n in range(10) for code in floors[0].codes(f"OB-{who}-{n}")]
    assert len(set(codes)) == 40


def test_judgements_at_once_issue_one_ticket(floors: list[Shopfloor]) -> None:
    """Two daemons have checked the same item."""
    for n in range(5):
        floors[0].take(order_draft(f"OB-{n}"))
        item = floors[0].item(f"OB-{n}").id or 0
        judgement = Judgement(item, 1, "clear", 90.0, 81.4, (), {})
        at_once(*(lambda floor=floor, j=judgement: floor.ledger.book_judgement(j) for floor in floors))
        assert len(floors[0].codes(f"OB-{n}")) == 1


def test_an_undo_at_once_with_the_next_scan_is_one_or_the_other(floors: list[Shopfloor]) -> None:
    """The undo comes first and nothing waits for the scan, or the scan comes first and is what is undone."""
    [code] = floors[0].accept()
    for _ in range(6):
        floors[0].scan(code, "print")
        undone, scanned = at_once(lambda: floors[0].ledger.undo(code), lambda: floors[1].scan(code, "powder"))
        assert isinstance(undone, ScanAnswer)
        if isinstance(scanned, ShopProblem):
            assert scanned.slug == "nothing-waits-here"
            assert floors[0].places(code) == {"print": 40}
        else:
            assert floors[0].places(code) == {"powder": 40}
            floors[0].ledger.undo(code)


def test_undoes_at_once_take_one_scan_back_each(floors: list[Shopfloor]) -> None:
    """A scan is taken back once, whoever asks."""
    [code] = floors[0].accept()
    floors[0].scan(code, "print", 10)
    results = at_once(*(lambda floor=floor: floor.ledger.undo(code) for floor in floors))
    assert [type(r) for r in results].count(ScanAnswer) == 1
    assert {r.slug for r in results if isinstance(r, ShopProblem)} == {"nothing-to-undo"}


def test_runs_and_tickets_of_the_same_orders_at_once(floors: list[Shopfloor]) -> None:
    """Runs lock their orders one after the other: in whatever order they hold them, nobody is locked out."""
    codes = [floors[0].accept(order_draft(f"OB-{n}"))[0] for n in range(4)]
    runs = [new_run_code(floors[0].random, 3 + n) for n in range(2)]
    for run, mine in zip(runs, (codes, list(reversed(codes))), strict=True):
        floors[0].ledger.lay_in_run(run, dict.fromkeys(mine, 10))

    def scan_run(floor: Shopfloor, run: str) -> None:
        for station in ("print", "powder", "cure"):
            floor.scan(run, station)

    def scan_tickets(floor: Shopfloor) -> None:
        for code in codes:
            floor.scan(code, "print", 5)

    done = at_once(
        lambda: scan_run(floors[0], runs[0]),
        lambda: scan_run(floors[1], runs[1]),
        lambda: scan_tickets(floors[2]),
        lambda: [floors[3].ledger.cancel(code, 5, "fewer") for code in reversed(codes)],
    )
    assert not [d for d in done if isinstance(d, Exception)]
    assert [floors[0].places(code)["press"] for code in codes] == [20] * 4


def test_the_loser_of_a_tie_does_it_again(floors: list[Shopfloor]) -> None:
    """PostgreSQL ends one of two writers that wait for each other: its act is done once more."""
    for n in range(2):
        floors[0].take(order_draft(f"OB-{n}"))
    both_hold_one = threading.Barrier(2)

    def lock(numbers: tuple[str, str]) -> Callable[[Books], int]:
        tries = []

        def act(books: Books) -> int:
            tries.append(1)
            for number in numbers:
                asked = select(Order).where(Order.number == number).with_for_update()
                order = books.session.exec(asked).one()
                order.held_why = None if order.held_why else number
                if (
                    len(tries) == 1
                    and number == numbers[0]
                    and books.session.get_bind().dialect.name != "sqlite"
                ):
                    both_hold_one.wait(LIMIT_SECONDS)
            books.session.rollback()
            return len(tries)

        return act

    tries = at_once(
        lambda: floors[0].ledger._write(lock(("OB-0", "OB-1"))),
        lambda: floors[1].ledger._write(lock(("OB-1", "OB-0"))),
    )
    assert all(isinstance(n, int) for n in tries), tries
    assert sum(tries) > 2 or floors[0].home.dialect == "sqlite"


def test_notes_of_one_file_at_once_are_one_row(floors: list[Shopfloor]) -> None:
    """A path has one open row, however many look at it."""
    notes = at_once(
        *(lambda floor=floor: floor.ledger.note_arrival(arrival(standing="settling")) for floor in floors)
    )
    assert notes == [None] * 4
    with floors[0].store.reading() as session:
        assert len(session.exec(select(Arrival)).all()) == 1


SCANNING = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from tests.stores import settings_with
from tickets.ledger import Ledger
from tickets.problems import ShopProblem
from tickets.requests import ScanRequest
from tickets.store import open_store

url, folder, code = sys.argv[1:]
settings = settings_with(url)
ledger = Ledger(open_store(settings, Path(folder)), settings, lambda: datetime.now(UTC))
moved = 0
sys.stdin.read(1)
try:
    while True:
        ledger.scan(ScanRequest(code, "print", 1, key=f"{moved}"))
        moved += 1
except ShopProblem as problem:
    print(moved, problem.slug)
"""


def test_processes_at_once_count_each_key_once(floors: list[Shopfloor]) -> None:
    """Three programs send the same keys as fast as they can: what each key asked for is done once."""
    home = floors[0].home
    [code] = floors[0].accept(order_draft("OB-1", item_draft(quantity=12)))
    command = [sys.executable, "-c", SCANNING, home.settings.database.url, str(home.folder), code]
    running = [
        subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) for _ in range(3)
    ]
    for process in running:
        assert process.stdin is not None
        process.stdin.write("x")
        process.stdin.flush()
    said = [process.communicate(timeout=LIMIT_SECONDS)[0].split() for process in running]
    assert said == [["12", "nothing-waits-here"]] * 3
    assert floors[0].places(code) == {"powder": 12}


@pytest.mark.parametrize("kind", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def test_programs_that_start_at_once_make_the_tables_once(
    kind: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    """The daemon and the pages are started together on a new shop: both find it ready."""
    server: Server | None = request.getfixturevalue("postgres_server") if kind == "postgresql" else None
    for n in range(3):
        folder = tmp_path / str(n)
        folder.mkdir()
        settings = settings_with(server.make() if server else "")
        stores = at_once(*(lambda f=folder, s=settings: open_store(s, f, create=True) for _ in range(3)))
        assert [type(store).__name__ for store in stores] == ["Store"] * 3, stores
        for store in stores:
            store.close()
        if server:
            server.drop(settings.database.url)


def test_a_pairing_code_that_two_devices_send_at_once_lets_one_in(floors: list[Shopfloor]) -> None:
    """Exactly one of four gets a cookie that works; the others are told as of a code that was used."""
    books = [DeviceBook(floor.store, lambda: NOON) for floor in floors]
    for _ in range(5):
        code = books[0].new_code("station")
        came = at_once(*(partial(book.let_in, code) for book in books))
        [(token, device)] = [answer for answer in came if isinstance(answer, tuple)]
        assert [type(answer) for answer in came].count(NotFound) == 3
        assert books[0].recognise(token) == device
    assert len(books[0].devices()) == 5


def test_a_link_that_two_make_at_once_is_one_link(floors: list[Shopfloor]) -> None:
    """All are given the same one, and it opens the order."""
    floors[0].accept(order_draft("OB-1", item_draft()))
    books = [LinkBook(floor.store, lambda: NOON) for floor in floors]
    made = at_once(*(partial(book.make, "OB-1") for book in books))
    assert len({link.word for link in made}) == 1
    assert books[0].order_of(made[0].word) == "OB-1"
