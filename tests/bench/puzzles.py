"""34 puzzles of rectangles with known optima, by the planner's box packer: how much longer its strips are."""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.bench.machine import describe_machine
from tickets.film.effort import Effort
from tickets.film.items import Catalogue
from tickets.film.judging import judge
from tickets.film.lots import lots_of
from tickets.film.model import Job, Layout, Rules, Shape, Way
from tickets.film.packing import pack_all
from tickets.film.piling import Piler
from tickets.film.planning import layout_of

PUZZLES = Path(__file__).parents[1] / "data" / "packing" / "rectangles.json"  # its sources stand in it


@dataclass(frozen=True)
class Puzzle:
    """A strip so many mm across, the length of strip that is the least, and the pieces."""

    name: str
    optimum_mm: float
    rules: Rules
    jobs: tuple[Job, ...]

    @property
    def pieces(self) -> int:
        """How many pieces there are."""
        return sum(job.quantity for job in self.jobs)


def puzzles() -> Iterator[Puzzle]:
    """All of them: their units are taken for mm, with no gap and no edges; pieces of one size are one job."""
    for told in json.loads(PUZZLES.read_text(encoding="utf-8"))["puzzles"]:
        yield _puzzle(told)


def _puzzle(told: dict[str, Any]) -> Puzzle:
    counts: dict[tuple[int, int], int] = {}
    for width, height, copies in told["pieces"]:
        size = (max(width, height), min(width, height))
        counts[size] = counts.get(size, 0) + copies
    jobs = [
        Job(f"{number:03}", told["name"], copies, Shape(float(size[0]), float(size[1])), "film")
        for number, (size, copies) in enumerate(sorted(counts.items(), reverse=True))
    ]
    rules = Rules(printable_mm=told["across"], gap_mm=0.0, edge_mm=0.0, run_mm=2.0 * told["optimum"])
    return Puzzle(told["name"], told["optimum"], rules, tuple(jobs))


def solve(puzzle: Puzzle, seconds: float, clock: Callable[[], float] | None = None) -> Layout | None:
    """All pieces on one strip, as the planner shortens a run; None where the room is too little."""
    lots, unlaid = lots_of(puzzle.jobs, puzzle.rules)
    assert not unlaid
    piler = Piler(Catalogue(lots, puzzle.rules, by_outline=False), [1.0] * len(lots))
    counts = [lot.copies for lot in lots]
    offer = piler.offer(counts, len(lots))
    assert offer is not None
    pile = pack_all(offer.supply, Effort(seconds, clock=clock))
    if pile is None:
        return None
    draft, left = piler.draft(pile, offer, counts)
    assert not any(left)
    jobs = {job.code: job for job in puzzle.jobs}
    return layout_of(draft.placements, Way.BOXES, jobs, puzzle.rules)


def is_clean(puzzle: Puzzle, layout: Layout) -> bool:
    """Whether shapely finds all pieces on the strip, none over another."""
    return not judge([layout], puzzle.jobs, puzzle.rules)


def run(argv: Sequence[str]) -> None:
    """`--seconds S [S …]` (1 10) of processor time a puzzle, `--only NAME`: print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench puzzles")
    parser.add_argument("--seconds", type=float, nargs="+", default=[1.0, 10.0])
    parser.add_argument("--only", default="")
    asked = parser.parse_args(argv)
    write = sys.stdout.write
    write(describe_machine())
    heads = "".join(f" {s:g} s |" for s in asked.seconds)
    write(f"| puzzle | pieces | optimum |{heads}\n| --- | --- | --- |{' --- |' * len(asked.seconds)}\n")
    gaps: list[list[float]] = []
    for puzzle in puzzles():
        if asked.only in puzzle.name:
            lengths = [_length(puzzle, seconds) for seconds in asked.seconds]
            gaps.append([length / puzzle.optimum_mm - 1 for length in lengths])
            cells = "".join(f" {length:g} |" for length in lengths)
            write(f"| {puzzle.name} | {puzzle.pieces} | {puzzle.optimum_mm:g} |{cells}\n")
            sys.stdout.flush()
    for seconds, column in zip(asked.seconds, zip(*gaps, strict=True), strict=True):
        best, mean = sum(gap < 1e-9 for gap in column), statistics.mean(column)
        write(f"\n{seconds:g} s: mean gap {mean:.2%}, {best} of {len(column)} at the optimum")
    write("\n")


def _length(puzzle: Puzzle, seconds: float) -> float:
    layout = solve(puzzle, seconds, time.process_time)
    if layout is None:
        return 2 * puzzle.optimum_mm
    assert is_clean(puzzle, layout), puzzle.name
    assert layout.length_mm >= puzzle.optimum_mm, puzzle.name
    return layout.length_mm
