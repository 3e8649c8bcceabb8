"""`filmdocket film plan`: what waits at print is laid on film, and `--lay` makes runs of it."""

from __future__ import annotations

import json
from typing import Any

import pytest

from intake.cli import main
from tests.intake.shops import Bench, as_file, order, png
from tickets.lookup import list_orders


def waiting(bench: Bench, numbers: int = 3) -> None:
    """Some orders whose tickets wait at print."""
    for number in range(1, numbers + 1):
        bench.drop(f"order{number}.json", as_file(order(f"OB-{number}")))
        bench.drop("crest.png", png())
        bench.settle()
        bench.judge()


def planned(bench: Bench, capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, object]:
    """The plan as JSON."""
    capsys.readouterr()
    assert main(["film", "plan", "--seconds", "0.2", "--json", "--shop", str(bench.folder), *more]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def runs_of(plan: dict[str, object]) -> list[dict[str, Any]]:
    """The runs of a plan."""
    runs: Any = plan["runs"]
    return list(runs)


def pieces_of(plan: dict[str, object]) -> list[dict[str, object]]:
    """All placed pieces."""
    return [piece for run in runs_of(plan) for piece in run["pieces"]]


def tickets(bench: Bench) -> list[dict[str, object]]:
    """All tickets of the shop."""
    found = list_orders(bench.shop.store, bench.shop.settings)
    return [ticket for answer in found for ticket in answer.as_json()["tickets"]]


def test_every_waiting_piece_lies_on_the_plan_once(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """As many pieces of each ticket as wait, in metres that plain rows do not beat; held orders stay out."""
    waiting(bench)
    bench.shop.ledger.hold("OB-2", "the customer rang", "Ines")
    plan = planned(bench, capsys)
    counted: dict[object, int] = {}
    for piece in pieces_of(plan):
        counted[piece["code"]] = counted.get(piece["code"], 0) + 1
    wanted = {t["code"]: t["quantity"] for t in tickets(bench) if t["standing"] == "in work"}
    assert counted == wanted
    assert 0 < float(str(plan["metres"])) <= float(str(plan["rows_metres"]))


def test_a_laid_run_moves_with_one_scan(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """Its code is good at print; what lies in a run is not planned again."""
    waiting(bench)
    plan = planned(bench, capsys, "--lay")
    (run,) = runs_of(plan)
    assert main(["scan", str(run["run"]), "--at", "print", "--shop", str(bench.folder)]) == 0
    assert all(t["waiting"]["powder"] == t["quantity"] for t in tickets(bench))  # type: ignore[index]
    capsys.readouterr()
    assert main(["film", "plan", "--shop", str(bench.folder)]) == 5
    assert "nothing-for-film" in capsys.readouterr().err


def test_the_plan_is_told_in_words(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """Metres, runs, cutting, and that nothing is booked by a plan alone."""
    waiting(bench, 1)
    assert main(["film", "plan", "--seconds", "0", "--shop", str(bench.folder)]) == 0
    said = capsys.readouterr().out
    assert "m of film" in said
    assert "1 run," in said
    assert "Nothing is booked yet" in said
