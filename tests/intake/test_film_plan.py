"""`filmdocket film plan`: what waits at print is laid on film, and `--lay` makes runs of it."""

from __future__ import annotations

import json
from pathlib import Path
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


def test_runs_are_worked_on_by_commands(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """Listed, shown, pinned, freed, taken out, moved, spoiled, taken back and dropped: each in words."""
    waiting(bench, 2)
    run = str(runs_of(planned(bench, capsys, "--lay"))[0]["run"])
    first, second = (str(ticket["code"]) for ticket in tickets(bench))

    def film(*asked: str, status: int = 0) -> str:
        """What a command says."""
        capsys.readouterr()
        assert main(["film", *asked, "--shop", str(bench.folder)]) == status
        told = capsys.readouterr()
        return told.out if not status else told.err

    assert json.loads(film("runs", "--json"))["runs"][0]["waiting"] == {"print": 8}
    shown = json.loads(film("show", run.lower(), "--json"))
    assert len(shown["pieces"]) == 8
    assert {t["code"] for t in shown["tickets"]} == {first, second}
    assert f"{first}  OB-" in film("show", run)
    assert "is pinned" in film("pin", run)
    assert "is free" in film("free", run)
    assert "is taken out" in film("take-out", first)
    assert "is pinned" in film("pin", second)
    assert "does not" not in film("free", first)
    assert "lies in run" in film("move", first, run, "--seconds", "0")
    assert "no-size-advice" in film("size", first, "--no", "--by", "Ines", status=5)
    spoilt = json.loads(film("spoil", run, "--ticket", first, "--pieces", "1", "--why", "dust", "--json"))
    assert (spoilt["at"], spoilt["again"]) == ("print", {first: 1})
    assert "run-printed" in film("drop", run, status=5)
    assert main(["undo", run, "--shop", str(bench.folder)]) == 0
    assert "is dropped" in film("drop", run)
    assert "No film run is planned" in film("runs")
    assert f"{run}  dropped" in film("runs", "--all")


def test_a_check_says_what_a_smaller_size_would_save(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """300 mm across lies once on the roll, 291 mm twice; 250 mm needs no advice."""
    art = tmp_path / "back.png"
    art.write_bytes(png(side=1200))
    main(["check", str(art), "--width-mm", "300", "--json", "--shop", str(tmp_path)])
    advice = json.loads(capsys.readouterr().out)["size_advice"]
    assert (advice["across"], advice["pieces"]) == ([1, 2], 100)
    assert advice["saved_mm"] > 10_000
    assert "Ask the customer first." in advice["says"]
    main(["check", str(art), "--width-mm", "250", "--shop", str(tmp_path)])
    assert "across instead of" not in capsys.readouterr().out
