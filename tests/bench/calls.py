"""Every system call on the shop folder fails in turn, once and from then on, until a pass is clean."""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.acceptance.test_failing_calls import SOURCE, Trial, try_call
from tests.bench.machine import describe_machine


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench calls [--step 1] [--start 1]`: fails at the first broken promise."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench calls")
    asked.add_argument("--step", type=int, default=1, help="try every so-many-th call")
    asked.add_argument("--start", type=int, default=1, help="go on from this call")
    options = asked.parse_args(argv)
    sys.stdout.write(describe_machine())
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        shim = place / "failing_calls.so"
        subprocess.run(["cc", "-shared", "-fPIC", "-O1", "-o", str(shim), str(SOURCE), "-ldl"], check=True)
        calls = Trial(shim, place / "counting").run(0).calls
        passes = 0
        for nth in range(options.start, calls + 1, options.step):
            for lasts in (False, True):
                try_call(shim, place / f"shop-{nth}-{int(lasts)}", nth, lasts=lasts)
                passes += 1
            if not passes % 20:
                sys.stdout.write(f"call {nth} of {calls}: every promise kept in {passes} passes\n")
                sys.stdout.flush()
    sys.stdout.write(f"{calls} calls a pass; {passes} failing passes, every promise kept\n")
