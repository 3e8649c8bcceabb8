"""The finisher at work: spyrrow in a child process, because it may panic or overrun its time."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from typing import Any

from tickets.film.effort import never
from tickets.film.finishing import Loose, Put

# It reckons in 32 bits and was seen 2 µm nearer than asked: so much is added to the gap.
SAFETY_MM = 0.02
SIMPLER_MM = 0.3  # finer corners make it slow; outlines are simplified outwards by so much
GRACE_SECONDS = 30  # its first fill of many pieces knows no limit
LOOK_SECONDS = 0.2  # between two looks whether somebody wants it to stop
_NICER = 10  # it takes what others leave of the processor


@dataclass(frozen=True, slots=True)
class ChildFinisher:
    """Lays pieces in a child process (`python -m tickets.film_finisher`); `stop` ends it before its time.

    A panic of its engine is no Exception and may not take the planner with it. It stops at its seconds,
    and is ended half a minute after that.
    """

    stop: Callable[[], bool] = never

    def __call__(
        self, pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int
    ) -> list[Put] | None:
        """Where the pieces lie, or None where the child failed, was stopped, hung or is not installed."""
        listed = [asdict(piece) for piece in pieces]
        asked = json.dumps({"pieces": listed, "across": across_mm, "gap": gap_mm, "seconds": seconds})
        try:
            with _child() as child:
                said = self._wait(child, asked, time.monotonic() + seconds + GRACE_SECONDS)
            told = json.loads(said) if said and child.returncode == 0 else None
            return [Put(**put) for put in told] if told else None
        except (OSError, ValueError, TypeError):
            return None

    def _wait(self, child: subprocess.Popen[str], asked: str, until: float) -> str | None:
        """What the child writes; None where it was not to be waited for."""
        unsent: str | None = asked
        while True:
            try:
                return child.communicate(unsent, timeout=LOOK_SECONDS)[0]
            except subprocess.TimeoutExpired:
                unsent = None
            if self.stop() or time.monotonic() > until:
                return None


@contextmanager
def _child() -> Iterator[subprocess.Popen[str]]:
    """The child, ended when nobody waits for it any more."""
    command = [sys.executable, "-m", "tickets.film_finisher"]
    child = subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        creationflags=getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0),
    )
    try:
        yield child
    finally:
        if child.poll() is None:
            child.kill()
            child.communicate()


finish_by_spyrrow = ChildFinisher()


def _solve(asked: dict[str, Any]) -> list[dict[str, Any]]:
    """In the child: their axes are ours exchanged, the strip's length to the right and its height across.

    Exchanged axes are seen in a mirror, so that our 90° clockwise are their 270°. The gap is kept from
    the strip's edges too (measured, version 0.9), so the strip is made wider by twice that.
    """
    import spyrrow

    gap_mm = asked["gap"] + SAFETY_MM
    items = []
    for number, piece in enumerate(asked["pieces"]):
        angles = piece["angles"] or ([0.0, 90.0] if piece["may_turn"] else [0.0])
        theirs = [-angle % 360 for angle in angles]
        items.append(spyrrow.Item(str(number), _cleaned(piece["ring"]), piece["copies"], theirs))
    instance = spyrrow.StripPackingInstance("run", asked["across"] + 2 * gap_mm, items)
    config = spyrrow.StripPackingConfig(
        total_computation_time=asked["seconds"], min_items_separation=gap_mm, num_workers=2, seed=1
    )
    solution = instance.solve(config)
    return [_put(placed, asked["pieces"], gap_mm) for placed in solution.placed_items]


def _cleaned(ring: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
    """The outline valid, with fewer corners, moved outwards within its box, axes exchanged."""
    import shapely

    polygon = shapely.make_valid(shapely.Polygon(ring))
    box = shapely.box(*polygon.bounds)
    grown = shapely.simplify(shapely.buffer(polygon, SIMPLER_MM, join_style="mitre"), SIMPLER_MM)
    parts = shapely.get_parts(shapely.intersection(grown, box))
    outline = max((p for p in parts if p.geom_type == "Polygon"), key=lambda p: p.area)
    return [(float(y), float(x)) for x, y in outline.exterior.coords]


def _put(placed: Any, pieces: Sequence[dict[str, Any]], gap_mm: float) -> dict[str, Any]:
    number = int(placed.id)
    along, across = placed.translation
    angle = -placed.rotation % 360
    piece = pieces[number]
    box = [] if piece["angles"] else [(0.0, 0.0)]  # of a run's piece its box lies, of others their outline
    left_mm, top_mm = _corner([*piece["ring"], *box], math.radians(placed.rotation))
    return {
        "number": number,
        "x_mm": across + left_mm - gap_mm,
        "y_mm": along + top_mm - gap_mm,
        "turned": round(angle) == 90,
        "angle": angle,
    }


def _corner(ring: Sequence[Sequence[float]], turn: float) -> tuple[float, float]:
    """How far left and how far up an outline reaches from its origin, turned about it as they turn."""
    cos, sin = math.cos(turn), math.sin(turn)
    return min(y * sin + x * cos for x, y in ring), min(y * cos - x * sin for x, y in ring)


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(_NICER)
    sys.stdout.write(json.dumps(_solve(json.load(sys.stdin))))
