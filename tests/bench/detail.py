"""How well enlarged pictures are told from those at their first size: queries, proofs, the factor."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

import numpy as np

from intake.measure.detail import Sharpness
from tests.intake.measure.truth.enlarging import FACTORS, KERNELS, KINDS, as_jpeg, enlarged, look_at

LEAST_FACTOR = 1.5


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench detail [--each 20] [--seed 2026] [--side 900]`: prints a Markdown table."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench detail")
    asked.add_argument("--each", type=int, default=20)
    asked.add_argument("--seed", type=int, default=2026)
    asked.add_argument("--side", type=int, default=900)
    asked.add_argument("--natives-only", action="store_true")
    options = asked.parse_args(argv)
    tell("| pictures | as | query | proved | factor, median error |\n| --- | --- | --- | --- | --- |")
    for kind in KINDS:
        rows: dict[tuple[str, str], list[tuple[Sharpness | None, float]]] = {}
        for number in range(options.each):
            for name, factor, picture in _pictures(kind, number, options):
                rows.setdefault((name, "PNG"), []).append((look_at(picture), factor))
                found = look_at(as_jpeg(picture), is_lossy=True)
                rows.setdefault((name, "JPEG"), []).append((found, factor))
        for (name, packed), found_ones in rows.items():
            tell(_row(f"{kind}, {name}", packed, found_ones))


def _pictures(kind: str, number: int, options: argparse.Namespace):  # type: ignore[no-untyped-def]
    seed = [options.seed, number, len(kind)]
    yield "first size", 1.0, KINDS[kind](np.random.default_rng(seed), options.side)
    for kernel in () if options.natives_only else KERNELS:
        for factor in FACTORS:
            name = f"{kernel} × {'1.5' if factor == 1.5 else '2 to 6'}"
            yield name, factor, enlarged(kind, np.random.default_rng(seed), options.side, factor, kernel)


def _row(name: str, packed: str, found: list[tuple[Sharpness | None, float]]) -> str:
    proved = [(f, factor) for f, factor in found if f is not None and f.kind in ("enlarged", "blocks")]
    asked = [f for f, _ in found if f is not None and _is_query(f)]
    errors = [abs(f.factor / factor - 1) for f, factor in found if f is not None and f.kind]
    error = f"{np.median(errors):.0%}" if errors else ""
    return f"| {name} | {packed} | {len(asked)} / {len(found)} | {len(proved)} | {error} |"


def _is_query(found: Sharpness) -> bool:
    if not found.kind or found.factor < LEAST_FACTOR:
        return False
    return found.kind != "soft" or not found.is_photo


def tell(text: str) -> None:
    """One line of the table."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()
