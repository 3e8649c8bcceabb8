"""`filmdocket film file`: from an order in the inbox to a proved file and its sheet."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pypdfium2  # type: ignore[import-untyped]  # ships no types
import pytest
from pypdf import PdfReader

from intake.cli import main
from tests.intake.film.film_shop import as_bytes, badge
from tests.intake.shops import Bench, as_file, order
from tickets.codes import new_run_code
from tickets.lookup.film_runs import film_runs


def laid(bench: Bench) -> str:
    """The code of a run with two orders on it."""
    for number in (1, 2):
        bench.drop(f"order{number}.json", as_file(order(f"OB-{number}", f"badge{number}.png")))
        bench.drop(f"badge{number}.png", as_bytes(badge((90.0, 90.0), number)))
        bench.settle()
        bench.judge()
    assert main(["film", "plan", "--lay", "--seconds", "0.1", "--shop", str(bench.folder)]) == 0
    (answer,) = film_runs(bench.shop.store)
    return answer.run.code


def told(bench: Bench, capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    """What a command says as JSON."""
    capsys.readouterr()
    assert main([*words, "--json", "--shop", str(bench.folder)]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_a_run_of_the_books_becomes_a_file_and_a_sheet(
    bench: Bench, capsys: pytest.CaptureFixture[str]
) -> None:
    """The PDF has the run's size; the sheet names run, tickets, orders and customer."""
    run = laid(bench)
    files = told(bench, capsys, "film", "file", run)
    assert files["pdf"] == f"papers/runs/{run}.pdf"
    assert files["sheet"] == f"papers/runs/{run}-sheet.pdf"
    assert (files["pages"], files["pieces"], files["without_code"], files["notes"]) == (1, 8, [], [])
    page = pypdfium2.PdfDocument(bench.folder / files["pdf"])[0]
    assert page.get_width() / 72 * 25.4 == pytest.approx(590.0, abs=0.01)
    assert page.get_height() / 72 * 25.4 == pytest.approx(files["length_mm"], abs=0.01)
    said = PdfReader(bench.folder / files["sheet"]).pages[0].extract_text()
    (answer,) = film_runs(bench.shop.store)
    for word in (*(piece.code for piece in answer.run.pieces), "OB-1", "OB-2", "Otter Bank Rowing Club"):
        assert word in said


def test_it_is_told_in_words_too(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """What was written where, and that it was read back; twice gives the same bytes."""
    run = laid(bench)
    said = []
    contents = []
    for _ in range(2):
        capsys.readouterr()
        assert main(["film", "file", run.lower(), "--shop", str(bench.folder)]) == 0
        said.append(capsys.readouterr().out)
        contents.append(sorted((p.name, p.read_bytes()) for p in runs_folder(bench).iterdir()))
    assert "It was read back and is as planned." in said[0]
    assert f"Written: papers/runs/{run}.pdf" in said[0]
    assert said[0] == said[1]
    assert contents[0] == contents[1]


def test_a_run_that_is_not_known_is_said_to_be_none(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """A code that reads as one, and is in no books; and one that was dropped."""
    unknown = new_run_code(random.Random(1))
    assert main(["film", "file", unknown, "--shop", str(bench.folder)]) == 5
    assert "run-not-known" in capsys.readouterr().err
    run = laid(bench)
    bench.shop.ledger.drop_run(run, "Ines")
    assert main(["film", "file", run, "--shop", str(bench.folder)]) != 0
    assert "run-dropped" in capsys.readouterr().err
    assert not runs_folder(bench).exists()


def test_a_run_is_released_with_its_file(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """The books say who released it; planning again leaves it where it is, and it is released once."""
    run = laid(bench)
    assert told(bench, capsys, "film", "release", run, "--by", "Ines")["run"] == run
    (answer,) = film_runs(bench.shop.store)
    assert (answer.run.standing, answer.run.released_by) == ("released", "Ines")
    assert (runs_folder(bench) / f"{run}.pdf").is_file()
    capsys.readouterr()
    assert main(["film", "release", run, "--shop", str(bench.folder)]) != 0
    assert "run-not-planned" in capsys.readouterr().err


def test_a_run_whose_file_fails_is_not_released(
    bench: Bench, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is released unproved."""
    run = laid(bench)
    monkeypatch.setattr("intake.film.making.proof_faults", lambda *_: ["A piece is gone."])
    assert main(["film", "release", run, "--by", "Ines", "--shop", str(bench.folder)]) != 0
    assert "A piece is gone." in capsys.readouterr().err
    (answer,) = film_runs(bench.shop.store)
    assert answer.run.standing == "planned"


def runs_folder(bench: Bench) -> Path:
    """Where files of runs lie."""
    return bench.shop.papers / "runs"
