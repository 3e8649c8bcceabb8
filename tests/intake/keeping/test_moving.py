"""Moving the books to PostgreSQL: everything arrives, once, and the old file is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from intake.cli import main
from intake.keeping import moving
from intake.keeping.moving import move_database
from intake.shop import open_shop
from intake.single import only_one
from tests.intake.shops import Bench, as_file, order, png
from tests.stores import Server
from tickets.lookup import list_orders
from tickets.problems import ShopProblem
from tickets.requests import ScanRequest
from tickets.store import DATABASE_NAME, Store

pytestmark = pytest.mark.postgres


def at_work(bench: Bench) -> list[object]:
    """A shop with two orders, one of them under way; returns its order book."""
    for number in ("OB-1", "OB-2"):
        bench.drop("order.json", as_file(order(number)))
        bench.drop("crest.png", png())
        bench.settle()
        bench.judge()
    code = list_orders(bench.shop.store, bench.shop.settings)[0].as_json()["tickets"][0]["code"]
    bench.shop.ledger.scan(ScanRequest(code=code, station="print", good=2, by="Ines", key="k1"))
    return book(bench.shop.store, bench)


def book(store: Store, bench: Bench) -> list[object]:
    """The order book as it is told."""
    return [found.as_json() for found in list_orders(store, bench.shop.settings)]


def test_everything_arrives_and_work_goes_on(
    bench: Bench, postgres_server: Server, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same order book, scans that go on counting, keys that are remembered; the old file stays beside."""
    before = at_work(bench)
    bench.shop.close()
    url = postgres_server.make()
    try:
        assert main(["move-database", "--to", url, "--shop", str(bench.folder)]) == 0
        assert "2 orders" in capsys.readouterr().out
        assert not (bench.folder / DATABASE_NAME).exists()
        assert (bench.folder / f"{DATABASE_NAME}.moved").is_file()
        monkeypatch.setenv("FILMDOCKET_DATABASE_URL", url)
        with open_shop(bench.folder) as shop:
            assert shop.store.dialect == "postgresql"
            assert book(shop.store, bench) == before
            code = list_orders(shop.store, shop.settings)[0].as_json()["tickets"][0]["code"]
            again = shop.ledger.scan(ScanRequest(code=code, station="print", good=2, by="Ines", key="k1"))
            assert again.repeated, "the key counts once, here too"
            shop.ledger.scan(ScanRequest(code=code, station="print", good=1, by="Ines", key="k2"))
            ticket = list_orders(shop.store, shop.settings)[0].as_json()["tickets"][0]
            assert ticket["waiting"]["powder"] == 3
        assert main(["move-database", "--to", url, "--shop", str(bench.folder)]) == 5
        assert "nothing-to-move" in capsys.readouterr().err
    finally:
        postgres_server.drop(url)


def test_a_move_that_was_cut_off_at_its_end_is_finished(
    bench: Bench, postgres_server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The copy is committed, the file not yet set aside: the same command again finds it done."""
    at_work(bench)
    bench.shop.close()
    url = postgres_server.make()

    def power_cut(_file: Path) -> Path:
        raise KeyboardInterrupt

    try:
        with monkeypatch.context() as patch:
            patch.setattr(moving, "_set_aside", power_cut)
            with pytest.raises(KeyboardInterrupt):
                move_database(bench.folder, bench.shop.settings, url)
        assert move_database(bench.folder, bench.shop.settings, url).rows["orders"] == 2
        assert not (bench.folder / DATABASE_NAME).exists()
    finally:
        postgres_server.drop(url)


def test_a_database_with_other_books_is_left_alone(
    bench: Bench, new_bench: object, postgres_server: Server
) -> None:
    """Two shops never end in one database."""
    at_work(bench)
    bench.shop.close()
    other = new_bench()  # type: ignore[operator]
    other.drop("order.json", as_file(order("OTHER-1")))
    other.drop("crest.png", png())
    other.settle()
    other.shop.close()
    url = postgres_server.make()
    try:
        move_database(other.folder, other.shop.settings, url)
        with pytest.raises(ShopProblem) as refused:
            move_database(bench.folder, bench.shop.settings, url)
        assert refused.value.slug == "database-not-empty"
        assert (bench.folder / DATABASE_NAME).is_file()
    finally:
        postgres_server.drop(url)


def test_a_working_daemon_stops_the_move(bench: Bench, postgres_server: Server) -> None:
    """What it books meanwhile would be lost."""
    url = postgres_server.make()
    try:
        with only_one(bench.shop), pytest.raises(ShopProblem) as refused:
            move_database(bench.folder, bench.shop.settings, url)
        assert refused.value.slug == "already-watching"
    finally:
        postgres_server.drop(url)
