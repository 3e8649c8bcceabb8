"""What a person chooses of a plan: sheets, narrow rolls, whole jobs at a price, and an end at any time."""

from __future__ import annotations

import json
import signal
from collections.abc import Callable
from typing import Any

import pytest

from intake.cli import main
from intake.commands import film_planning
from tests.intake.shops import Bench, as_file, order, png
from tests.intake.test_film_plan import runs_of, waiting
from tickets.film.planning import Progress

SHORT = '[shop]\nname = "Otter Print"\n[film.laying]\nrun_mm = 140.0\n'


def film(bench: Bench, capsys: pytest.CaptureFixture[str], *asked: str, status: int = 0) -> str:
    """What a command about film says."""
    capsys.readouterr()
    assert main(["film", *asked, "--shop", str(bench.folder)]) == status
    told = capsys.readouterr()
    return told.out if not status else told.err


def plan(bench: Bench, capsys: pytest.CaptureFixture[str], *asked: str) -> dict[str, Any]:
    """A plan as JSON."""
    found: dict[str, Any] = json.loads(film(bench, capsys, "plan", "--seconds", "0", "--json", *asked))
    return found


def test_sheets_have_a_code_each_and_stay_sheets(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """Twenty-four on two sheets; planning again for the roll, one ticket less, leaves them sheets."""
    for number, quantity in ((1, 20), (2, 4)):
        document = order(f"OB-{number}")
        document["items"][0]["quantity"] = quantity
        bench.drop(f"order{number}.json", as_file(document))
        bench.drop("crest.png", png())
        bench.settle()
        bench.judge()
    laid = runs_of(plan(bench, capsys, "--sheets", "600x460", "--lay"))
    assert len({run["run"] for run in laid}) == len(laid) == 2
    assert all(run["sheet"] and run["length_mm"] == 460 and run["width_mm"] == 590 for run in laid)
    assert all(p["y_mm"] >= 18 and p["y_mm"] + 90 <= 442 for run in laid for p in run["pieces"])
    bench.shop.ledger.cancel("OB-2", None, "the customer rang", "Ines")
    again = runs_of(plan(bench, capsys, "--lay"))
    assert [(run["sheet"], run["length_mm"]) for run in again] == [(True, 460.0)] * len(again)
    assert sum(len(run["pieces"]) for run in again) == 20
    listed = json.loads(film(bench, capsys, "runs", "--json"))["runs"]
    assert all(run["sheet"] and run["length_mm"] == 460 for run in listed)
    assert "a sheet 460 mm long" in film(bench, capsys, "runs")
    cost = json.loads(film_cost(bench, capsys, str(again[0]["run"])))
    assert cost["takes"]["film_mm"] == 460  # a sheet has no lead


def film_cost(bench: Bench, capsys: pytest.CaptureFixture[str], run: str) -> str:
    """What a run costs."""
    capsys.readouterr()
    assert main(["cost", run, "--json", "--shop", str(bench.folder)]) == 0
    return capsys.readouterr().out


def test_a_narrow_roll_is_laid_within_its_width(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """300 mm of roll leave 290; three badges of 90 mm lie across. What goes into no printer is refused."""
    waiting(bench)
    (run,) = runs_of(plan(bench, capsys, "--roll-mm", "300"))
    assert run["width_mm"] == 290
    assert max(p["x_mm"] for p in run["pieces"]) + 90 <= 290
    for asked, slug in (
        (("--roll-mm", "601"), "bad-roll"),
        (("--roll-mm", "-1"), "bad-roll"),
        (("--sheets", "700x700"), "bad-sheet"),
        (("--sheets", "590x30"), "bad-sheet"),
        (("--sheets", "5x460"), "bad-sheet"),
        (("--sheets", "letters"), "bad-sheet"),
    ):
        assert slug in film(bench, capsys, "plan", *asked, status=5)
    for sheets in ("A3", "297x420", "460 × 600 mm"):
        assert runs_of(plan(bench, capsys, "--sheets", sheets))


def test_whole_jobs_are_laid_at_a_price_that_is_told(
    new_bench: Callable[..., Bench], capsys: pytest.CaptureFixture[str]
) -> None:
    """Four badges a ticket where a short run takes six: none is parted, and the film that takes is said."""
    bench = new_bench(SHORT)
    waiting(bench, 3)
    found = plan(bench, capsys, "--whole-jobs", "--seconds", "0.5")
    runs_by_ticket: dict[str, set[int]] = {}
    for number, run in enumerate(runs_of(found)):
        for piece in run["pieces"]:
            runs_by_ticket.setdefault(piece["code"], set()).add(number)
    assert len(runs_by_ticket) == 3
    assert all(len(runs) == 1 for runs in runs_by_ticket.values())
    assert found["whole_jobs_metres"] == found["metres"] == pytest.approx(3 * 0.126)
    assert found["parted_jobs_metres"] == pytest.approx(2 * 0.126)
    assert "No ticket lies across two runs" in film(bench, capsys, "plan", "--whole-jobs", "--seconds", "0")
    said = film(bench, capsys, "plan", "--parted-jobs", "--seconds", "0.5")
    assert "Whole jobs in a run would take 0.13 m more film (50.0%)." in said
    assert "a piece." in said


def test_ctrl_c_keeps_the_best_so_far(
    bench: Bench, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Interrupted as soon as anything is laid: the plan is told and booked; another Ctrl-C is nobody's."""
    waiting(bench)
    before = signal.getsignal(signal.SIGINT)

    def interrupt(watch: film_planning._Watch, _progress: Progress) -> None:
        if not watch.is_stopped:
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(film_planning._Watch, "_tell", interrupt)
    found = json.loads(film(bench, capsys, "plan", "--seconds", "600", "--lay", "--json"))
    assert found["stopped"]
    assert sum(len(run["pieces"]) for run in runs_of(found)) == 12
    assert all(run["run"] for run in runs_of(found))
    assert signal.getsignal(signal.SIGINT) is before
