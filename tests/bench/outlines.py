"""13 published sets of outlines through the finisher: density against the mean that its authors publish."""

from __future__ import annotations

import argparse
import json
import statistics
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.bench.machine import describe_machine
from tickets.film.finishing import Loose, Put
from tickets.film_finisher import finish_by_spyrrow

OUTLINES = Path(__file__).parents[1] / "data" / "packing" / "outlines.json"  # its sources stand in it
ACROSS_MM = 590.0  # every set is made larger or smaller to the film's width, for the finisher cleans in mm
TOUCHING_MM2 = 0.5  # of an overlap of pieces that touch: it reckons in 32 bits


@dataclass(frozen=True)
class Instance:
    """Pieces for a strip of `ACROSS_MM`, and the densities that are published in per cent."""

    name: str
    pieces: tuple[Loose, ...]
    published_mean: float
    published_best: float

    @property
    def area_mm2(self) -> float:
        """Of all pieces together."""
        import shapely

        return sum(float(shapely.Polygon(piece.ring).area) * piece.copies for piece in self.pieces)


def instances() -> Iterator[Instance]:
    """All of them, at the film's width."""
    for told in json.loads(OUTLINES.read_text(encoding="utf-8"))["instances"]:
        scale = ACROSS_MM / told["across"]
        pieces = tuple(_loose(piece, scale) for piece in told["pieces"])
        yield Instance(told["name"], pieces, told["published_mean"], told["published_best"])


def _loose(piece: dict[str, Any], scale: float) -> Loose:
    ring = tuple((x * scale, y * scale) for x, y in piece["ring"])
    return Loose(ring, piece["copies"], False, tuple(piece["angles"]))


def lay(instance: Instance, seconds: int) -> tuple[float, list[str]]:
    """The density in per cent that the finisher reaches, and what shapely finds wrong."""
    puts = finish_by_spyrrow(instance.pieces, ACROSS_MM, 0.0, seconds)
    if puts is None:
        return 0.0, ["nothing found"]
    lying = [_as_it_lies(put, instance.pieces[put.number]) for put in puts]
    length_mm = max(piece.bounds[3] for piece in lying)
    return 100 * instance.area_mm2 / (length_mm * ACROSS_MM), _faults(instance, puts, lying)


def _as_it_lies(put: Put, piece: Loose) -> Any:
    from shapely import Polygon, affinity

    turned = affinity.rotate(Polygon(piece.ring), put.angle, origin=(0, 0))  # y runs down: clockwise
    left, top, _, _ = turned.bounds
    return affinity.translate(turned, put.x_mm - left, put.y_mm - top)


def _faults(instance: Instance, puts: Sequence[Put], lying: Sequence[Any]) -> list[str]:
    import shapely

    wanted = [n for n, piece in enumerate(instance.pieces) for _ in range(piece.copies)]
    said = [] if sorted(put.number for put in puts) == wanted else ["pieces are missing"]
    pieces = shapely.set_precision(lying, 0)
    ones, others = shapely.STRtree(pieces).query(pieces, predicate="intersects")
    pairs = ones < others
    shared = shapely.area(shapely.intersection(pieces[ones[pairs]], pieces[others[pairs]]))
    said += [f"{area:.2f} mm² lie over each other" for area in shared[shared > TOUCHING_MM2]]
    lefts, _, rights, _ = shapely.bounds(pieces).T
    out = max(-float(lefts.min()), float(rights.max()) - ACROSS_MM)
    return said + ([f"{out:.2f} mm out of the strip"] if out > 0.05 else [])


def run(argv: Sequence[str]) -> None:
    """`--seconds S` (60) a set, `--only NAME`: print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench outlines")
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--only", default="")
    asked = parser.parse_args(argv)
    write = sys.stdout.write
    write(describe_machine())
    write(f"| set | pieces | density in {asked.seconds} s | published mean | points less |\n")
    write("| --- | --- | --- | --- | --- |\n")
    short = []
    for instance in instances():
        if asked.only in instance.name:
            density, faults = lay(instance, asked.seconds)
            assert not faults, (instance.name, faults)
            short.append(instance.published_mean - density)
            count = sum(piece.copies for piece in instance.pieces)
            write(f"| {instance.name} | {count} | {density:.2f} | {instance.published_mean:.2f} |")
            write(f" {short[-1]:.2f} |\n")
            sys.stdout.flush()
    write(f"\nmean: {statistics.mean(short):.2f} points below the published mean\n")
