"""shapely as an independent judge of what the planner lays: so many placements, how many faults, how fast."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence

from tests.bench.film import RULES
from tests.bench.film_days import shop_day
from tests.bench.machine import describe_machine
from tickets.film.judging import judge
from tickets.film.planning import plan_film


def run(argv: Sequence[str]) -> None:
    """`--placements N` (100000), `--seconds S` (10) of planning a day, `--seed N`: print what was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench judged")
    parser.add_argument("--placements", type=int, default=100_000)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=7001)
    asked = parser.parse_args(argv)
    placements = faults = days = 0
    judging = 0.0
    while placements < asked.placements:
        jobs = shop_day(asked.seed + days)
        plan = plan_film(jobs, RULES, seconds=asked.seconds, clock=time.process_time)
        started = time.process_time()
        found = judge(plan.layouts, jobs, RULES)
        judging += time.process_time() - started
        sys.stdout.writelines(f"{fault}\n" for fault in found)
        faults, placements, days = faults + len(found), placements + plan.pieces, days + 1
    sys.stdout.write(describe_machine())
    sys.stdout.write(f"{placements} placements on {days} days: {faults} faults, {judging:.1f} s of judging\n")
