"""Papers and messages that are due are written once, whole, where the contract says."""

from __future__ import annotations

import email
import email.policy

import pytest

from intake import papers
from intake.outbox import write_due_reports
from intake.papers import press_setting, write_due_papers
from intake.pictures import keep_picture, picture_path
from tests.intake.shops import Bench, as_file, order, png
from tickets.lookup import due_papers, due_reports, order_answer
from tickets.requests import ScanRequest


def taken(bench: Bench, verdict: str, number: str = "OB-1") -> str:
    """Take an order whose artwork gets this verdict; its ticket's code, "" when it has none."""
    document = order(number)
    document["customer"]["email"] = "kit@otterbank.example"
    document["items"][0]["garment"] = {"fabric": "100 % Cotton"}
    bench.drop("order.json", as_file(document))
    bench.drop("crest.png", png())
    bench.settle()
    sha256 = str(bench.files()["crest.png"]["sha256"])
    keep_picture(bench.shop, sha256, None, png(16, 40))
    bench.judge(verdict)
    tickets = order_answer(bench.shop.store, bench.shop.settings, number).as_json()["tickets"]
    return str(tickets[0]["code"]) if tickets else ""


def test_an_accepted_item_gets_its_ticket_printed_once(bench: Bench) -> None:
    """`papers/<order>/<code>.pdf`; afterwards nothing is due."""
    code = taken(bench, "clear")
    assert write_due_papers(bench.shop) == [bench.shop.papers / "OB-1" / f"{code}.pdf"]
    assert (bench.shop.papers / "OB-1" / f"{code}.pdf").read_bytes().startswith(b"%PDF")
    assert write_due_papers(bench.shop) == []


def test_the_same_ticket_printed_again_has_the_same_bytes(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A death between writing and noting costs nothing but the work."""
    taken(bench, "clear")
    with monkeypatch.context() as dying:
        dying.setattr(bench.shop.ledger, "note_papered", lambda *_, **_to_print: None)
        (path,) = write_due_papers(bench.shop)
    first = path.read_bytes()
    assert write_due_papers(bench.shop) == [path]
    assert path.read_bytes() == first


def test_a_queried_item_is_printed_only_after_its_release(bench: Bench) -> None:
    """Until then its customer's message is what is due."""
    code = taken(bench, "query")
    assert write_due_papers(bench.shop) == []
    bench.shop.ledger.release(code, "Ines", "thin lines are fine")
    (path,) = write_due_papers(bench.shop)
    assert path.name == f"{code}.pdf"


def test_a_question_becomes_a_report_and_a_message_once(bench: Bench) -> None:
    """The message is addressed, says what is the matter, and carries the report."""
    taken(bench, "query")
    (path,) = write_due_reports(bench.shop)
    assert path == bench.shop.outbox / "OB-1" / "message.eml"
    message = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert "kit@otterbank.example" in str(message["To"])
    assert [part.get_filename() for part in message.iter_attachments()] == ["artwork-report-1.pdf"]
    assert (path.parent / "artwork-report-1.pdf").read_bytes().startswith(b"%PDF")
    assert write_due_reports(bench.shop) == []
    assert due_reports(bench.shop.store) == []


def test_corrected_artwork_that_is_questioned_again_gets_a_message_of_its_own(bench: Bench) -> None:
    """The first message stays as it was."""
    taken(bench, "query")
    (first,) = write_due_reports(bench.shop)
    before = first.read_bytes()
    bench.drop("crest.png", png(77))
    bench.settle()
    bench.round(10)
    bench.judge("refuse")
    (second,) = write_due_reports(bench.shop)
    assert second.name == "message-1r2.eml"
    assert (second.parent / "artwork-report-1-revision-2.pdf").is_file()
    assert first.read_bytes() == before


def test_one_paper_that_fails_keeps_no_other_waiting(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """It stays due."""
    taken(bench, "clear", "OB-1")
    code = taken(bench, "clear", "OB-2")
    real = papers.ticket_paper

    def fail(shop: object, due: object) -> object:
        if getattr(due, "order").number == "OB-1":  # noqa: B009 - any object will do
            raise ValueError("cannot be drawn")
        return real(shop, due)  # type: ignore[arg-type]

    monkeypatch.setattr(papers, "ticket_paper", fail)
    assert [p.stem for p in write_due_papers(bench.shop)] == [code]
    assert [due.order.number for due in due_papers(bench.shop.store)] == ["OB-1"]


def test_a_reprint_has_a_paper_of_its_own(bench: Bench) -> None:
    """Spoiled pieces travel with their own ticket."""
    code = taken(bench, "clear")
    write_due_papers(bench.shop)
    answer = bench.shop.ledger.scan(ScanRequest(code, "print", spoiled=2, why="banding"))
    assert answer.reprint is not None
    assert [p.stem for p in write_due_papers(bench.shop)] == [answer.reprint]


def test_the_press_setting_is_that_of_the_film_and_the_cloth(bench: Bench) -> None:
    """A longer name of the cloth is understood; a blend of two that differ is left to a person."""
    taken(bench, "clear")
    (due,) = due_papers(bench.shop.store)
    found = press_setting(bench.shop.settings, due.item)
    assert found is not None
    assert (found.film, found.fabric) == ("hot peel", "cotton")


def test_names_of_orders_are_safe_as_folders(bench: Bench) -> None:
    """`a/b` cannot lead anywhere."""
    taken(bench, "clear", "7/11 ..")
    (path,) = write_due_papers(bench.shop)
    assert path.parent.parent == bench.shop.papers
    assert path.parent.name.startswith("7_11")


def test_the_picture_is_named_by_hash_and_page(bench: Bench) -> None:
    """Pages of one file have a picture each."""
    assert picture_path(bench.shop, "ab", None) == bench.shop.derived / "ab-1.png"
    assert picture_path(bench.shop, "ab", 3) == bench.shop.derived / "ab-3.png"
