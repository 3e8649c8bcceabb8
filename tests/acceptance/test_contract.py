"""The contract seen from outside: commands and their JSON, on a real shop folder with real files."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from intake.cli import main

Run = Callable[..., tuple[int, Any]]

DUE = (datetime.now(UTC) + timedelta(days=9)).date().isoformat()
LATER = (datetime.now(UTC) + timedelta(days=19)).date().isoformat()
QUICK = "[intake]\nsettle_seconds = 0.1\nscan_seconds = 0.05\ncompany_seconds = 0.2\n[sandbox]\nworkers = 1\n"
CODE = re.compile(r"^[0-9A-HJKMNP-QS-TV-Z][0-9A-HJKMNP-TV-Z]{5}[0-9A-HJKMNP-TV-Z]$")


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs one command on a fresh shop folder; answers with the exit status and the JSON it printed."""
    shop = tmp_path / "shop"
    assert main(["init", str(shop)]) == 0
    (shop / "shop.toml").write_text(QUICK, encoding="utf-8")

    def call(*words: str, shop_dir: Path = shop) -> tuple[int, Any]:
        capsys.readouterr()
        status = main([*words, "--shop", str(shop_dir)])
        told = capsys.readouterr()
        if "--json" in words and status in (0, 3, 4):
            return status, json.loads(told.out)
        return status, told.out + told.err

    return call


def draw_disc(
    path: Path, *, pixels: int = 1200, colour: tuple[int, int, int, int] = (16, 33, 63, 255)
) -> Path:
    """A plain disc that fills its transparent canvas: clear at 100 mm (305 ppi)."""
    art = Image.new("RGBA", (pixels * 2, pixels * 2), (0, 0, 0, 0))
    ImageDraw.Draw(art).ellipse((2, 2, pixels * 2 - 3, pixels * 2 - 3), fill=colour)
    art.resize((pixels, pixels), Image.Resampling.LANCZOS).save(path)
    return path


def order_of(number: str, **changes: Any) -> dict[str, Any]:
    """An order of one item, 40 pieces of crest.png at 100 mm, with keys changed as asked."""
    item = {"artwork": "crest.png", "width_mm": 100, "quantity": 40} | changes.pop("item", {})
    return {
        "order": number,
        "customer": {
            "name": "Otter Bank Rowing Club",
            "email": "kit@otterbank.example",
            "phone": "+44 1632 960123",
        },
        "purchase_order": "REGATTA-7",
        "due": DUE,
        "items": [item],
    } | changes


@pytest.fixture
def drop(tmp_path: Path) -> Callable[..., None]:
    """Drops an order file, with its disc unless told otherwise, into the inbox."""

    def put(order: dict[str, Any], *, folder: str = "", pixels: int = 1200, art: bool = True) -> None:
        place = tmp_path / "shop" / "inbox" / folder
        place.mkdir(parents=True, exist_ok=True)
        if art:
            draw_disc(place / "crest.png", pixels=pixels)
        (place / f"{order['order']}.json").write_text(json.dumps(order), encoding="utf-8")

    return put


def the_ticket(run: Run, number: str) -> dict[str, Any]:
    status, found = run("where", number, "--json")
    assert status == 0
    ticket = found["orders"][0]["tickets"][0]
    assert isinstance(ticket, dict)
    return ticket


def waiting(ticket: dict[str, Any]) -> dict[str, int]:
    return {place: count for place, count in ticket["waiting"].items() if count}


def test_a_dropped_order_becomes_a_ticket_and_leaves_the_inbox(
    run: Run, drop: Callable[..., None], tmp_path: Path
) -> None:
    """Drop, check, ticket: the order is in the books, its paper lies in papers/, its bytes in originals/."""
    drop(order_of("OB-1042"))
    assert run("watch", "--once")[0] == 0
    ticket = the_ticket(run, "OB-1042")
    assert CODE.match(ticket["code"])
    assert (ticket["standing"], waiting(ticket)) == ("in work", {"print": 40})
    shop = tmp_path / "shop"
    assert (shop / "papers" / "OB-1042" / f"{ticket['code']}.pdf").read_bytes().startswith(b"%PDF")
    assert any(
        p.name.startswith(ticket["artwork_sha256"]) for p in (shop / "originals").rglob("*") if p.is_file()
    )
    assert not [p for p in (shop / "inbox").rglob("*") if p.is_file() and not p.name.startswith(".")]
    status, files = run("inbox", "--json")
    assert status == 0
    assert {f["path"]: (f["standing"], f["order"]) for f in files["files"]} == {
        "crest.png": ("taken", "OB-1042"),
        "OB-1042.json": ("taken", "OB-1042"),
    }
    assert files["heartbeat"].endswith("Z")


def test_where_answers_in_the_shape_of_the_contract(run: Run, drop: Callable[..., None]) -> None:
    """Every key that the contract names is there, with its type; ready is null until it can be told."""
    drop(order_of("OB-1042"))
    run("watch", "--once")
    _, found = run("where", "otter", "--json")
    assert found["asked"] == "otter"
    order = found["orders"][0]
    assert (order["order"], order["customer"], order["standing"]) == (
        "OB-1042",
        "Otter Bank Rowing Club",
        "in work",
    )
    assert order["due"] == DUE
    assert order["says"].endswith(".")
    assert "ready" in order
    ticket = order["tickets"][0]
    assert set(ticket) >= {
        "code", "item", "reprint_of", "artwork", "artwork_sha256", "quantity", "standing", "waiting",
        "dispatched", "spoiled", "cancelled", "last",
    }  # fmt: skip
    assert list(ticket["waiting"]) == ["print", "powder", "cure", "press", "dispatch"]
    assert ticket["last"] is None
    for words in (
        "960123",
        "kit@otterbank.example",
        "regatta-7",
        ticket["code"].lower(),
        "crest",
        "oter bank",
    ):
        _, again = run("where", words, "--json")
        assert [o["order"] for o in again["orders"]] == ["OB-1042"], words
    status, nothing = run("where", "zeppelin", "--json")
    assert (status, nothing["orders"]) == (0, [])


def test_scans_move_pieces_down_the_line_and_spoiled_ones_start_again(
    run: Run, drop: Callable[..., None]
) -> None:
    """Pieces are conserved: 40 = 38 dispatched + 2 spoiled, and the 2 come back on a reprint ticket."""
    drop(order_of("OB-1"))
    run("watch", "--once")
    code = the_ticket(run, "OB-1")["code"]
    for station in ("print", "powder", "cure"):
        status, answer = run("scan", code, "--at", station, "--json")
        assert status == 0
        assert answer["moved"]["from"] == station
        assert (answer["moved"]["good"], answer["moved"]["spoiled"], answer["reprint"]) == (40, 0, None)
    status, answer = run("scan", f"]Q1{code.lower()}", "--at", "press", "--good", "38", "--spoiled", "2",
                         "--why", "peeled badly", "--by", "Ines", "--json")  # fmt: skip
    assert status == 0
    assert answer["moved"] == {"from": "press", "to": "dispatch", "good": 38, "spoiled": 2}
    assert CODE.match(answer["reprint"])
    assert (answer["spoiled"], answer["last"]["by"]) == (2, "Ines")
    _, found = run("where", "OB-1", "--json")
    reprint = next(t for t in found["orders"][0]["tickets"] if t["reprint_of"] == code)
    assert (reprint["code"], reprint["quantity"], waiting(reprint)) == (answer["reprint"], 2, {"print": 2})
    status, _ = run("scan", code, "--at", "dispatch")
    assert status == 5
    for station in ("print", "powder", "cure", "press"):
        assert run("scan", reprint["code"], "--at", station)[0] == 0
    status, answer = run("scan", "OB-1", "--at", "dispatch", "--json")
    assert status == 0
    _, found = run("where", "OB-1", "--json")
    assert found["orders"][0]["standing"] == "dispatched"
    assert sum(t["dispatched"] for t in found["orders"][0]["tickets"]) == 40
    status, told = run("scan", "OB-1", "--at", "print")
    assert (status, "order number" in told) == (5, True)
    assert run("undo", "OB-1")[0] == 0
    assert waiting(the_ticket(run, "OB-1")) == {"dispatch": 38}


def test_a_scan_where_nothing_waits_changes_nothing_and_says_where_the_pieces_are(
    run: Run, drop: Callable[..., None]
) -> None:
    """The wrong station is explained, exit 5; --catch-up books the missed stations in one go."""
    drop(order_of("OB-1"))
    run("watch", "--once")
    code = the_ticket(run, "OB-1")["code"]
    status, told = run("scan", code, "--at", "cure")
    assert status == 5
    assert "print" in told
    assert waiting(the_ticket(run, "OB-1")) == {"print": 40}
    assert run("scan", code, "--at", "cure", "--catch-up")[0] == 0
    assert waiting(the_ticket(run, "OB-1")) == {"press": 40}
    assert run("undo", code)[0] == 0
    assert waiting(the_ticket(run, "OB-1")) == {"print": 40}


def test_the_same_key_counts_once_and_another_question_under_it_is_refused(
    run: Run, drop: Callable[..., None]
) -> None:
    """A scan sent twice because the answer was lost is counted once."""
    drop(order_of("OB-1"))
    run("watch", "--once")
    code = the_ticket(run, "OB-1")["code"]
    first = run("scan", code, "--at", "print", "--good", "10", "--key", "k1", "--json")
    again = run("scan", code, "--at", "print", "--good", "10", "--key", "k1", "--json")
    assert first[0] == again[0] == 0
    assert first[1]["moved"] == again[1]["moved"]
    assert waiting(the_ticket(run, "OB-1")) == {"print": 30, "powder": 10}
    assert run("scan", code, "--at", "print", "--good", "11", "--key", "k1")[0] == 5
    assert run("scan", code, "--at", "print", "--good", "31")[0] == 5
    assert waiting(the_ticket(run, "OB-1")) == {"print": 30, "powder": 10}


def test_a_query_stops_scans_until_it_is_released(
    run: Run, drop: Callable[..., None], tmp_path: Path
) -> None:
    """Too few pixels are a question: report and message lie in outbox/, the ticket waits."""
    drop(order_of("OB-2"), pixels=500)
    run("watch", "--once")
    ticket = the_ticket(run, "OB-2")
    shop = tmp_path / "shop"
    assert ticket["standing"] == "queried"
    assert not list((shop / "papers").rglob("*.pdf"))
    letters = sorted(p.suffix for p in (shop / "outbox" / "OB-2").iterdir())
    assert ".eml" in letters
    assert ".pdf" in letters
    assert run("scan", ticket["code"], "--at", "print")[0] == 5
    assert run("release", ticket["code"], "--by", "Ines", "--note", "customer is happy with it")[0] == 0
    assert (shop / "papers" / "OB-2" / f"{ticket['code']}.pdf").is_file()
    assert run("hold", "OB-2", "--why", "size may change")[0] == 0
    assert the_ticket(run, "OB-2")["standing"] == "held"
    assert run("scan", ticket["code"], "--at", "print")[0] == 5
    assert run("release", "OB-2", "--by", "Ines")[0] == 0
    assert run("scan", ticket["code"], "--at", "print")[0] == 0
    assert run("cancel", ticket["code"], "--pieces", "5", "--why", "five fewer")[0] == 0
    assert the_ticket(run, "OB-2")["cancelled"] == 5
    assert run("cancel", "OB-2", "--why", "club is closed")[0] == 0
    assert run("where", "OB-2", "--json")[1]["orders"][0]["standing"] == "cancelled"


def test_what_cannot_be_taken_is_refused_with_its_reason_and_stops_nobody(
    run: Run, drop: Callable[..., None], tmp_path: Path
) -> None:
    """A broken order lies in refused/ with a .txt naming the key; the order beside it is taken."""
    inbox = tmp_path / "shop" / "inbox"
    broken = order_of("OB-3", item={"widht_mm": 90})
    (inbox / "broken.json").write_text(json.dumps(broken), encoding="utf-8")
    drop(order_of("OB-4"))
    assert run("watch", "--once")[0] == 0
    texts = [p.read_text(encoding="utf-8") for p in (tmp_path / "shop" / "refused").rglob("*.txt")]
    assert len(texts) == 1
    assert "widht_mm" in texts[0]
    assert "width_mm" in texts[0]
    _, files = run("inbox", "--json")
    refused = next(f for f in files["files"] if f["path"] == "broken.json")
    assert (refused["standing"], bool(refused["slug"])) == ("refused", True)
    assert the_ticket(run, "OB-4")["standing"] == "in work"


def test_duplicates_conflicts_and_corrected_artwork_are_told_apart(
    run: Run, drop: Callable[..., None]
) -> None:
    """The same order again: a duplicate; other content: a conflict; better artwork: a revision."""
    drop(order_of("OB-5"), pixels=500)
    run("watch", "--once")
    code = the_ticket(run, "OB-5")["code"]
    drop(order_of("OB-5"), pixels=500)
    run("watch", "--once")
    drop(order_of("OB-5", due=LATER), art=False)
    run("watch", "--once")
    _, files = run("inbox", "--json")
    standings = sorted(f["standing"] for f in files["files"] if f["path"] == "OB-5.json")
    assert standings == ["conflict", "duplicate", "taken"]
    inbox_art = {"order": "OB-5"}
    drop(order_of("OB-5"), pixels=1300)
    run("watch", "--once")
    ticket = the_ticket(run, inbox_art["order"])
    assert (ticket["code"], ticket["standing"], waiting(ticket)) == (code, "in work", {"print": 40})


def test_check_works_outside_a_shop_folder(run: Run, tmp_path: Path) -> None:
    """check needs no order and no shop: verdict by exit status; several files make a list."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    good = draw_disc(elsewhere / "good.png")
    small = draw_disc(elsewhere / "small.png", pixels=300)
    words = elsewhere / "words.png"
    words.write_text("not a picture", encoding="utf-8")
    status, one = run("check", str(good), "--width-mm", "100", "--json", shop_dir=elsewhere)
    assert (status, one["verdict"], one["print_mm"]) == (0, "clear", [100.0, 100.0])
    assert one["measures"]["pixels"] == [1200, 1200]
    assert one["measures"]["ppi"] == [pytest.approx(304.8, abs=0.1)] * 2
    status, one = run("check", str(small), "--width-mm", "100", "--json", shop_dir=elsewhere)
    assert status == 3
    assert [f["check"] for f in one["findings"] if f["level"] == "query"] == ["resolution"]
    picture = elsewhere / "marked.png"
    status, _ = run("check", str(good), "--ppi", "300", "--picture", str(picture), shop_dir=elsewhere)
    assert status == 0
    assert Image.open(picture).width > 100
    nowhere = str(elsewhere / "no such folder" / "marked.png")
    status, told = run("check", str(good), "--ppi", "300", "--picture", nowhere, shop_dir=elsewhere)
    assert (status, "clear" in told, "picture-not-written" in told) == (5, True, True)
    status, several = run(
        "check", str(good), str(small), str(words), "--width-mm", "100", "--json", shop_dir=elsewhere
    )
    assert status == 4
    assert [a["verdict"] for a in several] == ["clear", "query", "refuse"]
    assert several[2]["findings"][0]["check"] == "file"


def test_wrong_usage_is_exit_2_and_no_shop_is_exit_5(run: Run, tmp_path: Path) -> None:
    """A missing size is wrong usage; a folder that is no shop is a thing that cannot be done."""
    disc = draw_disc(tmp_path / "disc.png", pixels=100)
    assert run("check", str(disc))[0] == 2
    assert run("scan")[0] == 2
    status, told = run("orders", "--since", "yesterday")
    assert (status, "2026-11-01" in told) == (2, True)
    status, told = run("where", "otter", shop_dir=tmp_path)
    assert status == 5
    assert "init" in told


def test_doctor_says_what_to_do_next(run: Run) -> None:
    """A shop whose daemon never ran is told to start it; after a run everything is well."""
    status, told = run("doctor")
    assert status == 5
    assert told.strip().splitlines()[-1].startswith("Next:")
    run("watch", "--once")
    status, report = run("doctor", "--json")
    assert (status, [c["name"] for c in report["checks"] if not c["ok"]]) == (0, [])


def test_every_command_has_help_with_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    """--help ends in an example that can be typed."""
    for command in (
        "init", "watch", "check", "scan", "undo", "hold", "release", "cancel", "where", "orders", "inbox",
        "doctor", "version",
    ):  # fmt: skip
        assert main([command, "--help"]) == 0
        assert "Example: filmdocket" in " ".join(capsys.readouterr().out.split())
