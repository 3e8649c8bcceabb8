"""Days of an invented shop on film: metres against plain rows, by way of laying and time; all judged."""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from tests.bench.film_days import shop_day
from tests.bench.machine import describe_machine, peak_memory_mb
from tickets.film.advice import advise, resized
from tickets.film.finishing import MOST_PIECES, finish
from tickets.film.judging import judge
from tickets.film.model import Job, Rules, Way
from tickets.film.planning import ALL_WAYS, Plan, plan_film
from tickets.film_finisher import finish_by_spyrrow

RULES = Rules(printable_mm=590, gap_mm=8, edge_mm=10, run_mm=10_000)  # as `tests/tickets/film` has it
BOXES = (Way.ROWS, Way.BOXES)


def taken(jobs: Sequence[Job]) -> list[Job]:
    """The jobs at the sizes that are advised, wherever any is."""
    advised = [(job, advise(job, RULES)) for job in jobs]
    return [resized(job, advice) if advice else job for job, advice in advised]


def run(argv: Sequence[str]) -> None:
    """`--seeds N…`, `--seconds S` for a whole day, `--finish S` a run (0 none), `--only WORDS`: the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench film")
    parser.add_argument("--seeds", type=int, nargs="+", default=[9001, 9002, 9003])
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--finish", type=int, default=0)
    parser.add_argument("--only", default="", help="rows whose name has this in it")
    asked = parser.parse_args(argv)
    write = sys.stdout.write
    write(describe_machine())
    write(f"Metres ÷ metres of plain rows at full size; seconds of processor time; seeds {asked.seeds}.\n\n")
    write("| laid | " + " | ".join(map(str, asked.seeds)) + " | mean | seconds a day |\n")
    write("| --- |" + " --- |" * (len(asked.seeds) + 2) + "\n")
    for name, lay in _rows(asked.seconds, asked.finish).items():
        if asked.only not in name:
            continue
        write(f"| {name} |")
        told = []
        for seed in asked.seeds:
            told.append(_measured(shop_day(seed), lay))
            write(f" {told[-1][0]:.3f} |")
            sys.stdout.flush()
        mean, took = statistics.mean(share for share, _ in told), max(took for _, took in told)
        write(f" {mean:.3f} | {took:.1f} |\n")
        sys.stdout.flush()
    write(f"\npeak memory {peak_memory_mb():.0f} MB\n")


Lay = Callable[[list[Job]], tuple[list[Job], Rules, Plan]]


def _rows(seconds: float, finish_seconds: int) -> dict[str, Lay]:
    whole = replace(RULES, whole_jobs=True)
    rows: dict[str, Lay] = {
        "boxes, a first answer": lambda jobs: _laid(jobs, RULES, 2.0, BOXES),
        "boxes": lambda jobs: _laid(jobs, RULES, seconds, BOXES),
        "all ways, a first answer": lambda jobs: _laid(jobs, RULES, 2.0, ALL_WAYS),
        "all ways": lambda jobs: _laid(jobs, RULES, seconds, ALL_WAYS),
        "all ways, whole jobs in a run": lambda jobs: _laid(jobs, whole, seconds, ALL_WAYS),
        "all ways, advised sizes taken": lambda jobs: _laid(taken(jobs), RULES, seconds, ALL_WAYS),
    }
    if finish_seconds:
        name = f"the same, then the finisher {finish_seconds} s a run"
        rows[name] = lambda jobs: _finished(*_laid(taken(jobs), RULES, seconds, ALL_WAYS), finish_seconds)
    return rows


def _laid(
    jobs: list[Job], rules: Rules, seconds: float, ways: Sequence[Way]
) -> tuple[list[Job], Rules, Plan]:
    return jobs, rules, plan_film(jobs, rules, seconds=seconds, ways=ways, clock=time.process_time)


def _finished(jobs: list[Job], rules: Rules, plan: Plan, seconds: int) -> tuple[list[Job], Rules, Plan]:
    by_code = {job.code: job for job in jobs}
    done = [
        finish(layout, by_code, rules, finish_by_spyrrow, seconds=seconds)
        if len(layout.placements) <= MOST_PIECES
        else layout
        for layout in plan.layouts
    ]
    return jobs, rules, replace(plan, layouts=tuple(done))


def _measured(jobs: list[Job], lay: Lay) -> tuple[float, float]:
    """Film ÷ film of plain rows at full size, and processor seconds; what isn't judged clean ends it all."""
    in_rows = plan_film(jobs, RULES, seconds=0, ways=(Way.ROWS,)).length_mm
    started = time.process_time()
    laid, rules, plan = lay(jobs)
    took = time.process_time() - started
    faults = judge(plan.layouts, laid, rules)
    assert not faults, faults[:3]
    return plan.length_mm / in_rows, took
