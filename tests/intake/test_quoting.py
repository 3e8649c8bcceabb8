"""`filmdocket quote`: an order file is priced before it is taken in, and nothing of it is booked."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from intake.cli import main
from tests.intake.shops import Bench, as_file, order, png
from tickets.lookup import list_orders


def quoted(
    bench: Bench, folder: Path, capsys: pytest.CaptureFixture[str], document: dict[str, Any]
) -> dict[str, Any]:
    """The price of an order file in a folder, as JSON."""
    file = folder / "order.json"
    file.write_bytes(as_file(document))
    capsys.readouterr()
    assert main(["quote", str(file), "--json", "--shop", str(bench.folder)]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def items(quantity: int = 40, **changes: Any) -> list[dict[str, Any]]:
    """One item of an order."""
    return [{"artwork": "crest.png", "width_mm": 90, "height_mm": 90, "quantity": quantity, **changes}]


def test_an_order_is_priced_by_its_measured_artwork_and_not_booked(
    bench: Bench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The artwork beside the file is measured; the books hold nothing of it afterwards."""
    (tmp_path / "crest.png").write_bytes(png(side=600))
    told = quoted(bench, tmp_path, capsys, order(items=items()))
    assert (told["order"], told["currency"], told["notes"]) == ("OB-1", "GBP", [])
    assert told["total_minor"] > 0
    assert told["items"][0]["pieces"] == 40
    assert list_orders(bench.shop.store, bench.shop.settings) == []


def test_without_its_artwork_the_usual_shares_stand_in_and_it_says_so(
    bench: Bench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A telephone's question: the file names artwork that nobody has sent yet."""
    told = quoted(bench, tmp_path, capsys, order(items=items()))
    assert len(told["notes"]) == 1
    assert "crest.png" in told["notes"][0]
    assert told["total_minor"] > 0


def test_more_pieces_are_cheaper_a_piece_and_a_rush_is_dearer(
    bench: Bench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The table's breaks and its rush, through the command; pressing is in the price, transfers lack it."""
    few, many = (quoted(bench, tmp_path, capsys, order(items=items(n))) for n in (5, 300))
    assert float(many["items"][0]["each"]) < float(few["items"][0]["each"])
    rush = quoted(bench, tmp_path, capsys, order(items=items(300), rush=True))
    assert rush["rush"] is True
    assert rush["total_minor"] > many["total_minor"]
    flat = quoted(bench, tmp_path, capsys, order(items=items(300), service="transfers"))
    assert float(flat["items"][0]["cost"]) < float(many["items"][0]["cost"])


def test_what_is_no_order_is_refused_in_words(
    bench: Bench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A missing file, and one with an unknown key: exit 5, the sentence on stderr."""
    assert main(["quote", str(tmp_path / "nothing.json"), "--shop", str(bench.folder)]) == 5
    assert "order-file-not-read" in capsys.readouterr().err
    file = tmp_path / "order.json"
    file.write_bytes(as_file(order(colour="red")))
    assert main(["quote", str(file), "--shop", str(bench.folder)]) == 5
    assert "colour" in capsys.readouterr().err
