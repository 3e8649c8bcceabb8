"""Tickets print by themselves when they are issued: once each, whatever the printer does meanwhile."""

from __future__ import annotations

import io
import json
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import psutil
import pypdf
import pytest

from intake import printing
from intake.batches import chosen_papers, print_papers, save_papers
from intake.cli import main
from intake.doctor import examine_shop
from intake.papers import write_due_papers
from intake.print_command import CommandPrinter, PrinterTrouble
from intake.printing import PaperPrinter, wait_after
from tests.intake import fake_printer
from tests.intake.shops import Bench
from tests.intake.test_papers import taken
from tickets.lookup import order_history
from tickets.lookup.line import line_answer
from tickets.problems import NotFound, SetupProblem

Benches = Callable[..., Bench]


@dataclass
class Tray:
    """Where the fake printer lays what it printed, and how a test tells it to behave."""

    folder: Path

    @property
    def codes(self) -> list[str]:
        """What was printed, in order."""
        return [path.stem[4:] for path in sorted(self.folder.glob("*.pdf"))]

    @property
    def asked(self) -> list[str]:
        """Every time that the program ran, by the ticket's code."""
        asked = self.folder / "asked"
        return asked.read_text().split() if asked.is_file() else []

    def behave(self, mood: str) -> None:
        """From now on: "jam", "jam CODE", "hang" or "" (print)."""
        (self.folder / "mood").write_text(mood)


@pytest.fixture
def tray(tmp_path: Path) -> Tray:
    """An empty tray, with a blank in its name as folders of people have."""
    folder = tmp_path / "out tray"
    folder.mkdir()
    return Tray(folder)


@pytest.fixture
def bench(new_bench: Benches, tray: Tray) -> Bench:
    """A shop that prints its tickets on the fake printer, with a limit of 20 s."""
    command = [sys.executable, fake_printer.__file__, str(tray.folder), "{file}", "{code}"]
    return new_bench(f"[papers]\nprint_command = {json.dumps(command)}\nprint_seconds = 20.0\n")


@dataclass
class Clock:
    """A clock turned by hand."""

    now: float = 0.0

    def __call__(self) -> float:
        """Seconds."""
        return self.now


def printer_of(bench: Bench, clock: Clock | None = None, seconds: float = 20.0) -> PaperPrinter:
    """What the daemon holds."""
    command = CommandPrinter(bench.shop.settings.papers.print_command, seconds)
    return PaperPrinter(bench.shop, command, "here", clock or Clock())


def issued(bench: Bench, number: str = "OB-1") -> str:
    """A ticket whose paper was just made."""
    code = taken(bench, "clear", number)
    write_due_papers(bench.shop)
    return code


def test_an_issued_ticket_is_printed_once_also_after_a_restart(bench: Bench, tray: Tray) -> None:
    """What comes out is the paper, byte for byte; the history says so."""
    code = issued(bench)
    printer = printer_of(bench)
    assert [printer.print_due(), printer.print_due(), printer_of(bench).print_due()] == [1, 0, 0]
    (out,) = tray.folder.glob("*.pdf")
    assert out.read_bytes() == (bench.shop.papers / "OB-1" / f"{code}.pdf").read_bytes()
    told = [event.says for event in order_history(bench.shop.store, "OB-1")]
    assert told[-2:] == [f"The paper of {code} was made.", f"The paper of {code} was printed."]


def test_a_queried_ticket_is_printed_when_it_is_released(bench: Bench, tray: Tray) -> None:
    """Not before."""
    code = taken(bench, "query")
    write_due_papers(bench.shop)
    printer = printer_of(bench)
    assert printer.print_due() == 0
    bench.shop.ledger.release(code, "Ines", "thin lines are fine")
    write_due_papers(bench.shop)
    assert (printer.print_due(), tray.codes) == (1, [code])


def test_a_failing_printer_is_told_and_tried_again_with_longer_waits(
    bench: Bench, tray: Tray, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The line page and the doctor say why; once it prints nothing is left of that, and nothing is lost."""
    monkeypatch.setattr("intake.doctor._decoders", lambda _settings: iter(()))  # not what is looked at here
    first, clock = issued(bench), Clock()
    printer = printer_of(bench, clock)
    tray.behave("jam")
    assert printer.print_due() == 0
    second = issued(bench, "OB-2")
    for seconds, tries in ((0.0, 1), (4.9, 1), (0.2, 2), (5.0, 2), (5.1, 3)):
        clock.now += seconds
        assert printer.print_due() == 0
        assert len(tray.asked) == tries
    says = line_answer(bench.shop.store, bench.shop.settings).printer_says
    assert says.startswith("2 tickets wait for the printer: ")
    assert says.endswith("ended with status 7 and said: paper jam in tray 2.")
    (check,) = (c for c in examine_shop(bench.folder).checks if c.name == "printer")
    assert (check.ok, check.says) == (False, says)
    tray.behave("")
    clock.now += wait_after(5)
    assert printer.print_due() == 2
    assert sorted(tray.codes) == sorted([first, second])
    assert line_answer(bench.shop.store, bench.shop.settings).printer_says == ""
    (check,) = (c for c in examine_shop(bench.folder).checks if c.name == "printer")
    assert check.ok


def test_one_paper_that_never_prints_keeps_no_other_waiting(bench: Bench, tray: Tray) -> None:
    """It comes last from then on, and stays due."""
    bad, good, clock = issued(bench), issued(bench, "OB-2"), Clock()
    tray.behave(f"jam {bad}")
    printer = printer_of(bench, clock)
    assert (printer.print_due(), tray.asked) == (0, [bad])
    clock.now += wait_after(1)
    assert (printer.print_due(), tray.codes) == (1, [good])
    tray.behave("")
    clock.now += wait_after(9)
    assert (printer.print_due(), tray.codes) == (1, [good, bad])


def test_a_hanging_printer_is_ended_with_all_that_it_started(bench: Bench, tray: Tray) -> None:
    """Within the time limit; the ticket waits and is printed later."""
    code, clock = issued(bench), Clock()
    tray.behave("hang")
    printer = printer_of(bench, clock, seconds=1.5)
    began = time.monotonic()
    assert printer.print_due() == 0
    assert time.monotonic() - began < 15
    assert "did not end within" in str(printer.says)
    assert not psutil.Process().children(recursive=True)
    tray.behave("")
    clock.now += wait_after(1)
    assert (printer.print_due(), tray.codes) == (1, [code])


def test_a_daemon_that_stops_does_not_wait_for_a_hanging_printer(
    bench: Bench, tray: Tray, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was being printed is printed at the next start."""
    monkeypatch.setattr("intake.print_command._STOP_GRACE_SECONDS", 0.1)
    issued(bench)
    tray.behave("hang")
    stop = threading.Event()
    command = CommandPrinter(bench.shop.settings.papers.print_command, 300.0, stop.is_set)
    printer = PaperPrinter(bench.shop, command, is_stopping=stop.is_set)
    working = threading.Thread(target=printer.print_due)
    working.start()
    until = time.monotonic() + 30
    while not tray.asked:
        assert time.monotonic() < until
        time.sleep(0.02)
    stop.set()
    working.join(15)
    assert not working.is_alive()
    tray.behave("")
    assert (printer_of(bench).print_due(), len(tray.codes)) == (1, 1)


def test_a_death_between_paper_and_books_prints_once_more(
    bench: Bench, tray: Tray, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rather two papers with one code than pieces without a paper."""
    code = issued(bench)
    with monkeypatch.context() as dying:
        dying.setattr(bench.shop.ledger, "note_printed", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            printer_of(bench).print_due()
    assert printer_of(bench).print_due() == 1
    assert tray.codes == [code, code]


def test_another_quantity_prints_the_ticket_anew(bench: Bench, tray: Tray) -> None:
    """The paper that is out says another number; the same paper asked for at the desk comes once more."""
    code = issued(bench)
    printer = printer_of(bench)
    printer.print_due()
    bench.shop.ledger.change_quantity(code, 7, "three more", "Ines")
    write_due_papers(bench.shop)
    assert printer.print_due() == 1
    bench.shop.ledger.ask_print([code], "Ines")
    assert (printer.print_due(), printer.print_due()) == (1, 0)
    assert tray.codes == [code] * 3


def test_cancelled_tickets_are_not_printed_any_more(bench: Bench, tray: Tray) -> None:
    """Nor is one whose printer stood still until then."""
    code = issued(bench)
    bench.shop.ledger.cancel(code, None, "customer changed her mind", "Ines")
    assert (printer_of(bench).print_due(), tray.asked) == (0, [])


def test_a_paper_that_was_thrown_away_is_made_again(bench: Bench, tray: Tray) -> None:
    """The books have all that stands on it."""
    code = issued(bench)
    (bench.shop.papers / "OB-1" / f"{code}.pdf").unlink()
    assert (printer_of(bench).print_due(), tray.codes) == (1, [code])


def test_papers_made_without_a_print_command_do_not_all_come_out_later(new_bench: Benches) -> None:
    """Setting a printer up prints what is issued from then on."""
    plain = new_bench("[shop]\n")
    issued(plain)
    printer = PaperPrinter(plain.shop, CommandPrinter(("none", "{file}"), 1.0))
    printer._queue.read_on(plain.shop.store)
    assert (printer.print_due(), printer._queue.waiting) == (0, {})
    assert [row.printed_at for row in chosen_papers(plain.shop, [])] == [None]


def test_a_program_that_is_missing_is_named(tmp_path: Path) -> None:
    """As one that may not be run is."""
    paper = tmp_path / "paper.pdf"
    with pytest.raises(PrinterTrouble, match=r"no-such-program of papers\.print_command is not found"):
        CommandPrinter(("no-such-program", "{file}"), 5.0).print_paper(paper, "7K3Q9XZ")
    with pytest.raises(PrinterTrouble, match="cannot be started"):
        CommandPrinter((str(tmp_path), "{file}"), 5.0).print_paper(paper, "7K3Q9XZ")


def pages(content: bytes) -> list[str]:
    """The text of each page, by another reader."""
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content), strict=True).pages]


def test_several_tickets_are_one_file_and_count_as_printed(new_bench: Benches, tmp_path: Path) -> None:
    """In the order in which they were named; the same again has the same bytes."""
    bench = new_bench("[shop]\n")
    first, second = issued(bench), issued(bench, "OB-2")
    out = tmp_path / "tickets.pdf"
    rows = chosen_papers(bench.shop, ["OB-2", first.lower()])
    save_papers(bench.shop, rows, out, "Ines")
    told = pages(out.read_bytes())
    assert ["OB-2" in told[0], "OB-1" in told[1], len(told)] == [True, True, 2]
    before = out.read_bytes()
    save_papers(bench.shop, rows, out, "Ines")
    assert out.read_bytes() == before
    assert chosen_papers(bench.shop, []) == []
    assert [row.code for row in chosen_papers(bench.shop, [], today=True)] == [first, second]
    third = issued(bench, "OB-3")
    assert [row.code for row in chosen_papers(bench.shop, [])] == [third]
    assert [row.code for row in chosen_papers(bench.shop, ["OB-2", "OB-3"], unprinted=True)] == [third]


def test_what_is_printed_by_hand_does_not_come_out_by_itself_too(bench: Bench, tray: Tray) -> None:
    """One print, whoever was first."""
    code = issued(bench)
    print_papers(bench.shop, chosen_papers(bench.shop, [code]), "Ines")
    assert (printer_of(bench).print_due(), tray.codes) == (0, [code])


def test_no_printer_and_no_paper_are_said(new_bench: Benches) -> None:
    """Each with what to do."""
    bench = new_bench("[shop]\n")
    code = issued(bench)
    with pytest.raises(SetupProblem, match="--out") as none:
        print_papers(bench.shop, chosen_papers(bench.shop, [code]), "")
    asked = taken(bench, "query", "OB-2")
    with pytest.raises(NotFound) as queried:
        chosen_papers(bench.shop, [asked])
    assert (none.value.slug, queried.value.slug) == ("no-printer", "no-paper-yet")


def test_the_command_prints_lists_and_says_what_failed(
    bench: Bench, tray: Tray, capsys: pytest.CaptureFixture[str]
) -> None:
    """`papers list`, `papers print`: its JSON, its exit status."""
    code, shop = issued(bench), ["--shop", str(bench.folder)]
    assert main(["papers", *shop]) == 0
    assert capsys.readouterr().out.endswith("Otter Bank Rowing Club, 4 pieces; waits for the printer\n")
    tray.behave("jam")
    assert main(["papers", "print", *shop]) == 5
    assert "The tickets are not printed: " in capsys.readouterr().err
    tray.behave("")
    assert main(["papers", "print", "OB-1", "--by", "Ines", *shop, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["says"], answer["papers"][0]["code"], tray.codes) == ("1 ticket printed.", code, [code])
    assert main(["papers", "list", *shop]) == 0
    assert capsys.readouterr().out == "Every ticket's paper is printed.\n"


@pytest.mark.parametrize(
    ("command", "says"),
    [
        ('["lp"]', "no argument has {file}"),
        ('["{file}", "{file}"]', "the first is the program"),
        ('["lp", "{order}", "{file}"]', "{order} is not known"),
    ],
)
def test_a_print_command_that_cannot_work_is_refused(
    new_bench: Benches, capsys: pytest.CaptureFixture[str], command: str, says: str
) -> None:
    """Before anything is printed with it."""
    bench = new_bench("[shop]\n")
    (bench.folder / "shop.toml").write_text(f"[papers]\nprint_command = {command}\n", encoding="utf-8")
    assert main(["papers", "--shop", str(bench.folder)]) == 5
    assert says in capsys.readouterr().err


def test_waits_grow_to_a_limit() -> None:
    """5, 10, 20 … 300 s."""
    assert [wait_after(n) for n in (1, 2, 3, 7, 50)] == [5, 10, 20, 300, 300]
    assert printing.LONGEST_WAIT_SECONDS == 300
