"""Looking over a shop finds what was broken, mends what is ours to make, and leaves customers' bytes."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from sqlalchemy import text

from intake.keeping.verifying import verify
from intake.papers import write_due_papers
from intake.pictures import keep_picture, picture_path
from tests.intake.shops import Bench, as_file, order, png
from tickets.requests import ScanRequest


@pytest.fixture
def whole(bench: Bench) -> Bench:
    """A shop with two printed orders and a refused file."""
    for number in range(2):
        bench.drop("order.json", as_file(order(f"OB-{number}")))
        bench.drop("crest.png", png(number))
        bench.settle()
    bench.drop("broken.json", b'{"order": 7}')
    bench.settle()
    for art in (png(0), png(1)):
        keep_picture(bench.shop, hashlib.sha256(art).hexdigest(), None, png(16, 40))
    bench.judge()
    write_due_papers(bench.shop)
    return bench


def kinds(bench: Bench, *, mend: bool = False) -> list[str]:
    """What is wrong, by kind; mended things marked."""
    return sorted(f.kind + (" mended" if f.is_mended else "") for f in verify(bench.shop, mend=mend).faults)


def papers(bench: Bench) -> list[Path]:
    """The papers that lie there."""
    return sorted(bench.shop.papers.rglob("*.pdf"))


def test_a_whole_shop_has_nothing_wrong(whole: Bench) -> None:
    """Originals, orders and papers are counted, and none is accused."""
    answer = verify(whole.shop)
    assert answer.is_well, answer.as_lines()
    assert answer.looked_at["orders"] == 2
    assert answer.looked_at["originals"] == 5
    assert answer.looked_at["papers"] == 2


def test_a_lost_and_a_damaged_original_are_named_with_what_they_are_of(whole: Bench) -> None:
    """Mending changes nothing about them: those bytes are the customer's."""
    first, second = [p for p in sorted(whole.shop.originals.rglob("*")) if p.is_file()][:2]
    first.unlink()
    second.chmod(0o644)
    second.write_bytes(second.read_bytes()[:-1] + b"?")
    spoiled = second.read_bytes()
    for mend in (False, True):
        answer = verify(whole.shop, mend=mend)
        assert {f.name for f in answer.faults} == {first.name, second.name}
        assert not answer.is_well
    assert not first.exists()
    assert second.read_bytes() == spoiled
    assert "backup" in answer.next_step


def test_papers_that_are_gone_or_cut_short_are_printed_again(whole: Bench) -> None:
    """To the same bytes; without `--mend` nothing is written."""
    first, second = papers(whole)
    before = first.read_bytes(), second.read_bytes()
    first.unlink()
    second.write_bytes(before[1][: len(before[1]) // 2])
    assert kinds(whole) == ["paper", "paper"]
    assert not first.exists()
    assert kinds(whole, mend=True) == ["paper mended", "paper mended"]
    assert (first.read_bytes(), second.read_bytes()) == before
    assert kinds(whole) == []


def test_a_paper_that_is_due_is_told_and_written(whole: Bench) -> None:
    """A reprint whose paper the daemon did not come to."""
    (code,) = [p.stem for p in papers(whole) if p.parent.name == "OB-0"]
    whole.shop.ledger.scan(ScanRequest(code, "print", spoiled=1, why="banding"))
    assert kinds(whole) == ["paper"]
    assert kinds(whole, mend=True) == ["paper mended"]
    assert len(papers(whole)) == 3


def test_a_damaged_picture_is_made_again(whole: Bench) -> None:
    """A picture that is missing is no fault: it is made when it is needed."""
    sha256 = str(whole.files()["crest.png"]["sha256"])
    path = picture_path(whole.shop, sha256, None)
    path.write_bytes(b"\x89PNG\r\n\x1a\n half")
    assert kinds(whole) == ["picture"]
    assert kinds(whole, mend=True) == ["picture mended"]
    assert path.read_bytes().endswith(b"IEND\xaeB`\x82")
    path.unlink()
    assert kinds(whole) == []


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE lots SET count = count + 1 WHERE id = 1",
        "UPDATE items SET standing = 'queried' WHERE id = 1",
        "UPDATE orders SET held_why = 'because' WHERE id = 1",
        "DELETE FROM movements WHERE id = 1",
    ],
)
def test_books_that_contradict_their_events_are_told(whole: Bench, statement: str) -> None:
    """And never mended by guessing."""
    with whole.shop.store.writing() as session:
        session.execute(text(statement))
    assert "books" in kinds(whole)
    assert "books" in kinds(whole, mend=True)


def test_the_answer_for_programs_has_every_fault(whole: Bench) -> None:
    """`verify --json`: kind, name, what is wrong, what to do, whether it is mended; and what comes next."""
    papers(whole)[0].unlink()
    answer = verify(whole.shop).as_json()
    (fault,) = answer["wrong"]
    assert fault["kind"] == "paper"
    assert fault["name"] in fault["says"]
    assert fault["mended"] is False
    assert answer["next"] == fault["do"] == "Run: filmdocket verify --mend"
