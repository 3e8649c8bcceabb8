"""Releasing with a repair: a new revision of the ticket's artwork, the customer's own file kept and known."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from intake.cli import main
from tests.intake.repairs.pictures import drawn

QUICK = "[intake]\nsettle_seconds = 0.1\nscan_seconds = 0.05\ncompany_seconds = 0.2\n[sandbox]\nworkers = 1\n"
DUE = (datetime.now(UTC) + timedelta(days=12)).date().isoformat()
# 1,000 px at 80 mm: specks of 0.24 mm beside a disc that fills the canvas.
ART = drawn(1000, 1000, [(0, 100, 1000, 1000), (500, 40, 503, 43), (600, 40, 603, 43)])


class Desk:
    """A shop with one dropped order, and its commands."""

    def __init__(self, shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.shop, self.capsys = shop, capsys
        assert main(["init", str(shop)]) == 0
        (shop / "shop.toml").write_text(QUICK, encoding="utf-8")

    def drop(self) -> None:
        """The order with its artwork, taken in and checked."""
        Image.fromarray(ART).save(self.shop / "inbox" / "dots.png", dpi=(300, 300))
        item = {"artwork": "dots.png", "width_mm": 80, "quantity": 5}
        order = {"order": "OB-7", "customer": {"name": "Fern Lane Choir"}, "due": DUE, "items": [item]}
        (self.shop / "inbox" / "OB-7.json").write_text(json.dumps(order), encoding="utf-8")
        assert main(["watch", "--once", "--shop", str(self.shop)]) == 0

    def run(self, *words: str) -> tuple[int, str]:
        """One command: its status and all that it said."""
        self.capsys.readouterr()
        status = main([*words, "--shop", str(self.shop)])
        said = self.capsys.readouterr()
        return status, said.out + said.err

    def ticket(self) -> dict[str, Any]:
        """The order's one ticket, as `where` has it."""
        return dict(json.loads(self.run("where", "OB-7", "--json")[1])["orders"][0]["tickets"][0])


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    """A shop with its order."""
    made = Desk(tmp_path / "shop", capsys)
    made.drop()
    return made


def test_a_repaired_ticket_goes_on_with_new_artwork(desk: Desk) -> None:
    """The specks go, the item is clear and its ticket printed; both files are kept; history tells who."""
    before = desk.ticket()
    assert before["standing"] == "queried"
    status, said = desk.run("release", before["code"], "--by", "Ines", "--repair", "specks")
    assert status == 0, said
    assert "repaired (specks)" in said
    after = desk.ticket()
    assert after["standing"] == "in work"
    assert after["code"] == before["code"]
    assert after["artwork_sha256"] != before["artwork_sha256"]
    for sha256 in (before["artwork_sha256"], after["artwork_sha256"]):
        kept = desk.shop / "originals" / sha256[:2] / sha256
        assert hashlib.sha256(kept.read_bytes()).hexdigest() == sha256
    assert (desk.shop / "papers" / "OB-7" / f"{before['code']}.pdf").is_file()
    status, said = desk.run("scan", before["code"], "--at", "print")
    assert status == 0, said


def test_the_customers_file_dropped_again_is_known(desk: Desk) -> None:
    """The same order once more is a duplicate, also after its artwork was repaired here."""
    code = desk.ticket()["code"]
    assert desk.run("release", code, "--by", "Ines", "--repair", "specks")[0] == 0
    repaired = desk.ticket()["artwork_sha256"]
    desk.drop()
    assert desk.ticket()["artwork_sha256"] == repaired
    files = json.loads(desk.run("inbox", "--json")[1])["files"]
    assert {f["standing"] for f in files} == {"taken", "duplicate"}


def test_a_repair_with_nothing_to_do_books_nothing(desk: Desk) -> None:
    """What cannot be repaired leaves the question open and the artwork as it is; so does a wrong name."""
    before = desk.ticket()
    status, said = desk.run("release", before["code"], "--by", "Ines", "--repair", "specks,harden")
    assert status == 5
    assert "nothing-to-repair" in said
    assert desk.run("release", before["code"], "--by", "Ines", "--repair", "speckles")[0] == 2
    assert desk.ticket() == before
    assert desk.run("release", before["code"], "--by", "Ines")[0] == 0
    status, said = desk.run("release", before["code"], "--by", "Ines", "--repair", "specks")
    assert status == 5
    assert "nothing-to-repair" in said
