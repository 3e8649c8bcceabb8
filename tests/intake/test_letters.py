"""Customers are told of each thing that happens to their order once, in the shop's own words or ours."""

from __future__ import annotations

import email
import email.policy
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest

from intake.keeping.backing_up import back_up
from intake.keeping.restoring import restore
from intake.letters.templating import KINDS, find_template, shipped_template, try_templates
from intake.letters.writing import facts_of, write_due_messages
from intake.outbox import write_due_reports
from intake.shop import Shop, open_shop
from tests.intake.shops import Bench
from tests.intake.test_papers import taken
from tickets.ledger.links import LinkBook
from tickets.lookup import order_answer
from tickets.lookup.telling import due_tellings, list_tellings
from tickets.problems import ShopProblem
from tickets.requests import ScanRequest

LATER = timedelta(seconds=400)


def written(bench: Bench, later: timedelta = LATER) -> list[str]:
    """What is written when some time has gone by: the names of the files."""
    bench.wall += later
    return [path.name for path in write_due_messages(bench.shop)]


def read(bench: Bench, name: str) -> tuple[str, str]:
    """Subject and text of a message in the outbox of OB-1."""
    content = (bench.shop.outbox / "OB-1" / name).read_bytes()
    mail = email.message_from_bytes(content, policy=email.policy.default)
    body = mail.get_body(("plain",))
    assert body is not None
    return str(mail["subject"]), body.get_content().replace("\r\n", "\n")


def send_out(bench: Bench, code: str, good: int | None = None) -> None:
    """Press and dispatch pieces of a ticket."""
    bench.shop.ledger.scan(ScanRequest(code, "press", good, catch_up=True))
    bench.shop.ledger.scan(ScanRequest(code, "dispatch", good, part=True, why="needed today"))


def test_an_order_is_told_from_beginning_to_end(bench: Bench) -> None:
    """Received, ready, dispatched: each written once, each with what it is about."""
    code = taken(bench, "clear")
    assert written(bench) == ["received.eml"]
    subject, body = read(bench, "received.eml")
    assert subject == "Order OB-1: received, thank you"
    assert body.startswith("Hello Otter Bank Rowing Club,\n\nThank you for your order OB-1. ")
    assert "  1. crest.png – 4 pieces\n" in body
    bench.shop.ledger.scan(ScanRequest(code, "press", catch_up=True))
    assert written(bench, timedelta()) == []  # it waits: a slip may be undone
    assert written(bench) == ["ready-1.eml"]
    bench.shop.ledger.scan(ScanRequest("OB-1", "dispatch"))
    [name] = written(bench)
    assert read(bench, name)[0] == "Order OB-1: it has left our house"
    assert written(bench) == []
    told = list_tellings(bench.shop.store)
    assert [(t.kind, t.standing, t.address) for t in told] == [
        ("dispatched", "written", "kit@otterbank.example"),
        ("ready", "written", "kit@otterbank.example"),
        ("received", "written", "kit@otterbank.example"),
    ]


def test_scans_soon_after_each_other_are_one_dispatch(bench: Bench) -> None:
    """A part says what follows; sent at once it makes the word of being ready needless."""
    code = taken(bench, "clear")
    written(bench)
    send_out(bench, code, 1)
    send_out(bench, code, 2)
    [name] = written(bench)
    subject, body = read(bench, name)
    assert subject == "Order OB-1: a part of it has left our house"
    assert "crest.png – 3 pieces\n" in body
    assert "Still to follow:\n\n  1. crest.png – 1 piece\n" in body
    send_out(bench, code)
    [last] = written(bench)
    assert "Still to follow" not in read(bench, last)[1]


def test_what_is_undone_in_time_is_not_told(bench: Bench) -> None:
    """A dispatch that was a slip; and being ready is told once, however often it comes about."""
    code = taken(bench, "clear")
    written(bench)
    ledger = bench.shop.ledger
    ledger.scan(ScanRequest(code, "press", catch_up=True))
    assert written(bench) == ["ready-1.eml"]
    ledger.scan(ScanRequest(code, "dispatch"))
    ledger.undo(code)
    assert written(bench) == []
    ledger.undo(code)
    ledger.scan(ScanRequest(code, "press", catch_up=True))
    assert written(bench) == []


def test_an_answered_question_is_confirmed(bench: Bench) -> None:
    """The question is in the list too, as written with its report; the answer names the artwork."""
    code = taken(bench, "query")
    assert written(bench) == ["received.eml"]
    write_due_reports(bench.shop)
    assert write_due_reports(bench.shop) == []
    bench.shop.ledger.release(code, "Ines", "thin is fine")
    assert written(bench) == ["released-1r1.eml"]
    body = read(bench, "released-1r1.eml")[1]
    assert "This artwork goes into print now:\n\n  1. crest.png – 4 pieces" in body
    told = {t.kind: (t.standing, t.file) for t in list_tellings(bench.shop.store)}
    assert told["query"] == ("written", "message.eml")


def test_a_cancelled_order_is_told_no_more(bench: Bench) -> None:
    """What was due is withdrawn, and is not in the list."""
    taken(bench, "clear")
    bench.shop.ledger.cancel("OB-1", None, "changed their mind")
    assert written(bench) == []
    assert list_tellings(bench.shop.store) == []


def test_a_new_day_is_told_once_and_only_a_later_one_again(bench: Bench) -> None:
    """The forecast may find the same order late every minute."""
    taken(bench, "clear")
    written(bench)
    ledger = bench.shop.ledger
    with pytest.raises(ShopProblem) as refused:
        ledger.tell_late("OB-1", bench.wall + timedelta(days=9))
    assert refused.value.slug == "not-late"  # it names no day
    with bench.shop.store.writing() as session:
        from sqlmodel import select

        from tickets.models import Order

        row = session.exec(select(Order)).one()
        row.due_at = bench.wall + timedelta(days=1)
        row.due = row.due_at.date().isoformat()
    day = bench.wall + timedelta(days=3)
    for at in (day, day, day - timedelta(days=1)):
        ledger.tell_late("OB-1", at, "the oven stood still")
    [name] = written(bench)
    body = read(bench, name)[1]
    assert "We now expect it on" in body
    assert "The reason: the oven stood still." in body
    ledger.tell_late("OB-1", day + timedelta(days=1))
    assert written(bench) == [f"late-{(day + timedelta(days=1)).date().isoformat()}.eml"]


def test_no_address_is_told_and_no_error(bench: Bench) -> None:
    """The message lies there all the same, to be read out on the telephone."""
    from tests.intake.shops import as_file, order, png

    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    assert written(bench) == ["received.eml"]
    [told] = list_tellings(bench.shop.store)
    assert told.address == ""
    assert told.says.startswith("The order names no e-mail address")


@pytest.mark.skipif(os.name == "nt", reason="no SIGKILL")
def test_a_death_between_writing_and_noting_tells_once(bench: Bench) -> None:
    """The same file is written again, whole, and then it is noted."""
    taken(bench, "clear")
    script = (
        "import sys, pathlib\nfrom intake.shop import open_shop\n"
        "from intake.letters.writing import write_due_messages\n"
        "write_due_messages(open_shop(pathlib.Path(sys.argv[1])))\n"
    )
    run = [sys.executable, "-c", script, str(bench.folder)]
    died = subprocess.run(run, env={**os.environ, "FILMDOCKET_FAULT_POINT": "message-written"}, check=False)
    assert died.returncode == -9
    folder = bench.shop.outbox / "OB-1"
    assert [path.name for path in folder.glob("*.eml")] == ["received.eml"]
    assert [t.standing for t in list_tellings(bench.shop.store)] == ["due"]
    subprocess.run(run, check=True)
    assert [path.name for path in folder.glob("*.eml")] == ["received.eml"]
    assert [t.standing for t in list_tellings(bench.shop.store)] == ["written"]
    with open_shop(bench.folder) as again:
        assert write_due_messages(again) == []


def test_every_shipped_template_works_and_can_be_taken_over(tmp_path: Path) -> None:
    """Saved as the shop's own it is tried, and used."""
    (tmp_path / "messages").mkdir()
    for kind in KINDS:
        (tmp_path / "messages" / f"{kind}.txt").write_text(shipped_template(kind).text, "utf-8")
    trials = try_templates(tmp_path)
    assert [t.template.kind for t in trials] == list(KINDS)
    assert [t.problem for t in trials] == [None] * len(KINDS)
    assert all(t.template.is_own for t in trials)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Subject: x\n\n{{ customr }}", "customr"),
        ("Subject: x\n\n{% for i in items %}", "line 3"),
        ("no subject\n\nHello", "Subject"),
        ("Subject: x\n\n{{ ''.__class__.__mro__ }}", "unsafe"),
        ("Subject: x\n\n{{ 1 / 0 }}", "zero"),
        ("Subject: x\n\n{{ 'x' * 300000 }}", "endless"),
        ("Subject: x\n\n\udcff", "UTF-8"),
    ],
)
def test_a_bad_template_is_told_and_the_shipped_one_used(tmp_path: Path, text: str, why: str) -> None:
    """Slips, unsafe reaches, other encodings: in words, with the slug to look up."""
    (tmp_path / "messages").mkdir()
    (tmp_path / "messages" / "ready.txt").write_bytes(text.encode("utf-8", "surrogateescape"))
    trial = find_template(tmp_path, "ready")
    assert trial.template == shipped_template("ready")
    assert trial.problem is not None
    assert trial.problem.slug == "template-wrong"
    assert why in trial.problem.says


def test_the_shops_own_words_are_used(bench: Bench) -> None:
    """A template of the shop's, and one with a slip beside it."""
    folder = bench.folder / "messages"
    folder.mkdir()
    (folder / "received.txt").write_text("Subject: Got {{ order }}\n\nAhoy {{ customer }}!\n", "utf-8")
    taken(bench, "clear")
    written(bench)
    assert read(bench, "received.eml") == ("Got OB-1", "Ahoy Otter Bank Rowing Club!\n")


def test_a_backup_brings_the_shops_own_words_back(bench: Bench, tmp_path: Path) -> None:
    """They are settings of the shop, though they lie in a folder."""
    (bench.folder / "messages").mkdir()
    (bench.folder / "messages" / "late.txt").write_text("Subject: Late\n\nSorry.\n", "utf-8")
    back_up(bench.shop, tmp_path / "backup.zip")
    restore(tmp_path / "backup.zip", tmp_path / "again")
    assert find_template(tmp_path / "again", "late").template.is_own


def test_messages_hold_the_customers_link_where_customers_reach_the_pages(bench: Bench) -> None:
    """The one that the order's page shows; none without a public address, or switched off."""
    taken(bench, "clear")
    shop = bench.shop
    public = {"address": "https://orders.shop.example"}

    def said(**links: object) -> str:
        changed = shop.settings.links.model_copy(update=links)
        settings = shop.settings.model_copy(update={"links": changed})
        opened = Shop(bench.folder, settings, shop.store, shop.clock)
        [due] = due_tellings(shop.store, shop.clock())
        facts = facts_of(opened, due, order_answer(shop.store, settings, due.order))
        return shipped_template(due.kind).words(facts).body

    assert "How far" not in said() + said(**public, on=False)
    assert LinkBook(shop.store, shop.clock).of_order("OB-1") is None
    body = said(**public)
    link = LinkBook(shop.store, shop.clock).of_order("OB-1")
    assert link is not None
    assert f"\nHow far your order is: https://orders.shop.example/o/{link.word}\n" in body
