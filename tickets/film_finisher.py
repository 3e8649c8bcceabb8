"""The finisher at work: spyrrow in a child process, because it may panic or overrun its time."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from tickets.film.finishing import Loose, Put

# It reckons in 32 bits and was seen 2 µm nearer than asked: so much is added to the gap.
SAFETY_MM = 0.02
SIMPLER_MM = 0.3  # finer corners make it slow; outlines are simplified outwards by so much
GRACE_SECONDS = 30  # its first fill of many pieces knows no limit


def finish_by_spyrrow(
    pieces: Sequence[Loose], across_mm: float, gap_mm: float, seconds: int
) -> list[Put] | None:
    """Where the pieces lie, or None where the child failed, panicked, hung or is not installed.

    A child process (`python -m tickets.film_finisher`): a panic of its engine is no Exception and may not
    take the planner with it. It stops at `seconds`, and is ended half a minute after that.
    """
    asked = {"pieces": [asdict(p) for p in pieces], "across": across_mm, "gap": gap_mm, "seconds": seconds}
    command = [sys.executable, "-m", "tickets.film_finisher"]
    try:
        done = subprocess.run(
            command,
            input=json.dumps(asked),
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=seconds + GRACE_SECONDS,
            check=False,
        )
        told = json.loads(done.stdout) if done.returncode == 0 else None
    except (OSError, subprocess.TimeoutExpired, ValueError):
        return None
    return [Put(**put) for put in told] if told else None


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
    left_mm, top_mm = _corner(pieces[number]["ring"], math.radians(placed.rotation))
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
    sys.stdout.write(json.dumps(_solve(json.load(sys.stdin))))
