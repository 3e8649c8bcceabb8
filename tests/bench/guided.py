"""Hostile orders, names, scans and zips, found by a fuzzer that follows the code's branches (atheris)."""

from __future__ import annotations

import argparse
import importlib.util
import re
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from intake.shop import make_shop
from tests.bench.guided_target import TARGETS, seeds
from tests.bench.machine import describe_machine

DONE = re.compile(r"Done (\d+) (?:runs|in)")
MEMORY_MB = 3000


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench guided [--seconds 600] [--only order]`; exits with 1 for a finding."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench guided")
    asked.add_argument("--seconds", type=int, default=600, help="for each target")
    asked.add_argument("--only", choices=sorted(TARGETS), default=None)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument(
        "--keep", type=Path, default=Path(tempfile.gettempdir()), help="where findings are kept"
    )
    options = asked.parse_args(argv)
    if importlib.util.find_spec("atheris") is None:  # it has wheels for few systems, so nobody must have it
        sys.exit("This needs atheris (Linux): pip install atheris")
    sys.stdout.write(describe_machine())
    found = [_fuzz(name, options) for name in sorted(TARGETS) if options.only in (None, name)]
    sys.exit(int(any(found)))


def _fuzz(name: str, options: argparse.Namespace) -> bool:
    with tempfile.TemporaryDirectory() as folder:
        corpus, shop = Path(folder) / "corpus", Path(folder) / "shop"
        corpus.mkdir()
        make_shop(shop)
        for number, content in enumerate(seeds(name)):
            (corpus / str(number)).write_bytes(content)
        limits = (f"-max_total_time={options.seconds}", f"-rss_limit_mb={MEMORY_MB}", "-timeout=10")
        more = (f"-seed={options.seed}", f"-artifact_prefix={options.keep}/{name}-", "-max_len=4096")
        command = [sys.executable, "-m", "tests.bench.guided_child", name, str(shop), str(corpus)]
        done = subprocess.run(
            [*command, *limits, *more],
            stderr=subprocess.STDOUT,
            stdout=subprocess.PIPE,
            text=True,
            check=False,
        )
        kept = len(list(corpus.iterdir()))
    runs = DONE.search(done.stdout)
    count = int(runs[1]) if runs else 0
    sys.stdout.write(f"{name}: {count:,} inputs, {kept:,} of them on a way of their own\n")
    is_found = done.returncode != 0 or not count
    if is_found:
        sys.stdout.write("\n".join(done.stdout.splitlines()[-40:]) + "\n")
    sys.stdout.flush()
    return is_found
