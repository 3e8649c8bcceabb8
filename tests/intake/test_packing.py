"""Packing slips in the shop folder: made with the scan, made again on demand, void but never gone."""

from __future__ import annotations

import json
from dataclasses import dataclass

import pytest

from intake.cli import main
from intake.packing import write_due_slips
from intake.papers import write_due_papers
from tests.intake.shops import Bench
from tests.intake.test_papers import taken
from tests.tickets.paper.samples import text_of
from tickets.requests import ScanRequest


def sent(bench: Bench) -> str:
    """An order of four crests that has left the house; its ticket's code."""
    code = taken(bench, "clear")
    write_due_papers(bench.shop)
    bench.shop.ledger.scan(ScanRequest(code, "press", catch_up=True))
    bench.shop.ledger.scan(ScanRequest("OB-1", "dispatch", by="Ines"))
    return code


@dataclass(frozen=True)
class Prompt:
    """Types commands in this shop."""

    bench: Bench
    capsys: pytest.CaptureFixture[str]

    def __call__(self, *words: str) -> tuple[int, str]:
        """Run a command; its exit status and what it printed."""
        status = main([*words, "--shop", str(self.bench.folder)])
        return status, self.capsys.readouterr().out


@pytest.fixture
def ask(bench: Bench, capsys: pytest.CaptureFixture[str]) -> Prompt:
    """A command line in the shop."""
    return Prompt(bench, capsys)


def test_a_dispatch_has_its_slip_printed_once(bench: Bench) -> None:
    """`papers/<order>/packing-<n>.pdf`, with the papers that are due."""
    sent(bench)
    path = bench.shop.papers / "OB-1" / "packing-1.pdf"
    assert write_due_papers(bench.shop) == [path]
    assert "In all: 4 garments" in text_of(path.read_bytes())
    assert write_due_papers(bench.shop) == []


def test_a_death_between_writing_and_noting_costs_nothing(bench: Bench) -> None:
    """The same slip gives the same bytes."""
    sent(bench)
    note = bench.shop.ledger.note_slip
    bench.shop.ledger.note_slip = lambda *_: None  # type: ignore[method-assign]
    (path,) = write_due_slips(bench.shop)
    first = path.read_bytes()
    bench.shop.ledger.note_slip = note  # type: ignore[method-assign]
    assert write_due_slips(bench.shop) == [path]
    assert (path.read_bytes(), write_due_slips(bench.shop)) == (first, [])


def test_a_void_slip_is_printed_as_void_and_stays(bench: Bench) -> None:
    """The next dispatch has another number."""
    sent(bench)
    write_due_slips(bench.shop)
    bench.shop.ledger.undo("OB-1")
    bench.shop.ledger.scan(ScanRequest("OB-1", "dispatch"))
    void, good = write_due_slips(bench.shop)
    assert [path.name for path in (void, good)] == ["packing-1.pdf", "packing-2.pdf"]
    assert "VOID" in text_of(void.read_bytes())
    assert "VOID" not in text_of(good.read_bytes())


def test_the_command_prints_slips_again_and_says_what_is_in_them(bench: Bench, ask: Prompt) -> None:
    """In words and as JSON; before anything was dispatched, and for a number that is none, it says so."""
    taken(bench, "clear")
    assert ask("packing", "OB-1")[0] == 5
    bench.shop.ledger.scan(ScanRequest(bench_code(bench), "press", catch_up=True))
    bench.shop.ledger.scan(ScanRequest("OB-1", "dispatch", collected_by="Tom"))
    status, said = ask("packing", "OB-1")
    assert status == 0
    assert "Packing slip 1 of OB-1: In all: 4 garments. Collected on" in said
    path = bench.shop.papers / "OB-1" / "packing-1.pdf"
    path.unlink()
    status, said = ask("packing", "ob-1", "--slip", "1", "--json")
    document = json.loads(said)
    assert document["order"] == "OB-1"
    assert document["slips"][0]["garments"] == 4
    assert document["slips"][0]["collected_by"] == "Tom"
    assert (bench.folder / document["slips"][0]["file"]) == path
    assert path.is_file()
    assert ask("packing", "OB-1", "--slip", "3")[0] == 5


def bench_code(bench: Bench) -> str:
    """The only ticket's code."""
    from tickets.lookup import due_papers

    return due_papers(bench.shop.store)[0].code


def test_the_slip_names_the_address_of_the_order(bench: Bench) -> None:
    """`ship_to` of the order file, line by line."""
    from tests.intake.shops import as_file, order, png

    document = {**order("OB-1"), "ship_to": ["Ines Ferro", "The Boathouse"], "purchase_order": "REGATTA-7"}
    bench.drop("order.json", as_file(document))
    bench.drop("crest.png", png())
    bench.settle()
    bench.judge()
    bench.shop.ledger.scan(ScanRequest(bench_code(bench), "press", catch_up=True))
    bench.shop.ledger.scan(ScanRequest("OB-1", "dispatch"))
    (path,) = [p for p in write_due_papers(bench.shop) if p.name.startswith("packing")]
    said = text_of(path.read_bytes())
    assert all(words in said for words in ("SHIP TO", "Ines Ferro", "The Boathouse", "REGATTA-7"))
