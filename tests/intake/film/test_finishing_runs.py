"""Planned runs are laid closer in the background: kept only where they are as they were, never at a loss."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Sequence

import pytest

from intake.cli import main
from intake.film import idle
from intake.film.idle import IdleFinisher
from tests.intake.shops import Bench
from tests.intake.test_film_plan import planned, runs_of, waiting
from tickets.film.finishing import Loose, Put
from tickets.film_finisher import ChildFinisher
from tickets.lookup.film_finish import propose_finish
from tickets.lookup.film_runs import stored_run
from tickets.problems import ShopProblem

BADGE_MM = 90.0


def in_columns(pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int) -> list[Put]:
    """Six across, row by row: what 12 badges of two tickets take at least."""
    assert across_mm == 590
    assert seconds > 0
    numbers = [number for number, piece in enumerate(pieces) for _ in range(piece.copies)]
    pitch = BADGE_MM + gap_mm
    return [Put(number, at % 6 * pitch, at // 6 * pitch, False) for at, number in enumerate(numbers)]


def laid(bench: Bench, capsys: pytest.CaptureFixture[str]) -> str:
    """Three tickets of four badges in rows of their own."""
    waiting(bench)
    capsys.readouterr()
    assert main(["film", "plan", "--seconds", "0", "--json", "--lay", "--shop", str(bench.folder)]) == 0
    (run,) = json.loads(capsys.readouterr().out)["runs"]
    assert run["way"] == "rows"
    return str(run["run"])


def test_a_shorter_run_is_kept_once_in_idle_time(
    new_bench: Callable[..., Bench], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three rows become two; every piece stays in the run; it is not tried again, nor is a pinned one."""
    bench = new_bench('[shop]\nname = "Otter Print"\n[film.laying]\nfinish_seconds = 5\n')
    run = laid(bench, capsys)
    monkeypatch.setattr(idle, "ChildFinisher", lambda _stop: in_columns)
    before = stored_run(bench.shop.store, run)
    bench.shop.ledger.pin_run(run, "Ines")
    finisher = IdleFinisher(bench.shop, lambda: False)
    assert not finisher.finish_next()
    bench.shop.ledger.pin_run(run, "Ines", is_pinned=False)
    assert finisher.finish_next()
    after = stored_run(bench.shop.store, run)
    assert (after.way, after.revision) == ("finished", before.revision + 1)
    assert after.length_mm == pytest.approx(before.length_mm - 98)
    assert sorted(p.code for p in after.pieces) == sorted(p.code for p in before.pieces)
    assert not finisher.finish_next()
    assert runs_of(planned(bench, capsys))[0]["changed"] is False


def test_what_changed_meanwhile_is_left_alone(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """Dropped while the finisher thinks, or a ticket of it held before: nothing is kept, and it is said."""
    run = laid(bench, capsys)
    shop = bench.shop

    def drop_and_answer(
        pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int
    ) -> list[Put] | None:
        shop.ledger.drop_run(run, "Ines")
        return in_columns(pieces, across_mm, gap_mm, seconds)

    order = stored_run(shop.store, run).pieces[0].order
    shop.ledger.hold(order, "the customer rang", "Ines")
    for finisher, slug in ((in_columns, "run-out-of-date"), (drop_and_answer, "plan-overtaken")):
        with pytest.raises(ShopProblem) as found:
            propose_finish(shop.store, shop.settings, run, finisher, seconds=1)
        assert found.value.slug == slug
        if slug == "run-out-of-date":
            shop.ledger.release(order, "Ines", "")
    assert stored_run(shop.store, run).standing == "dropped"


def test_a_finisher_that_is_stopped_or_killed_leaves_the_run(
    bench: Bench, capsys: pytest.CaptureFixture[str]
) -> None:
    """Stopped after its start, it ends within moments and not in ten minutes; the run lies as it lay."""
    run = laid(bench, capsys)
    asked = threading.Event()

    def stop() -> bool:
        is_second = asked.is_set()
        asked.set()
        return is_second

    found = propose_finish(bench.shop.store, bench.shop.settings, run, ChildFinisher(stop), seconds=600)
    assert found.keep is None
    assert asked.is_set()
    capsys.readouterr()
    assert main(["film", "finish", run, "--seconds", "1", "--json", "--shop", str(bench.folder)]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["kept"] == (told["length_mm"] < told["before_mm"])
    assert stored_run(bench.shop.store, run).length_mm == pytest.approx(told["length_mm"], abs=0.01)
