"""Days of an invented shop, from a seed: some 150 jobs of 7,000 pieces, in sizes and outlines of trade."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from tickets.film.model import Job, Ring, Shape

START = datetime(2026, 11, 30, 17, tzinfo=UTC)
# Nominal sizes in mm by kind of print, as shops name them (common practice, no source).
SIZES = {
    "chest": ((90, 80), (100, 70), (80, 80), (75, 65), (85, 100)),
    "back": ((300, 400), (300, 350), (280, 320), (300, 300), (250, 350)),
    "sleeve": ((70, 90), (40, 300), (60, 60), (80, 50)),
    "neck": ((60, 40), (50, 30), (70, 35)),
    "badge": ((60, 60), (75, 75), (50, 60)),
    "type": ((280, 60), (250, 40), (300, 80)),
    "crest": ((180, 200), (200, 150), (150, 150)),
}
LOTS = {"chest": 50, "back": 60, "sleeve": 25, "neck": 18, "badge": 16, "type": 12, "crest": 9}
COPIES = {
    "chest": (10, 100),
    "back": (8, 40),
    "sleeve": (10, 70),
    "neck": (20, 120),
    "badge": (10, 60),
    "type": (6, 24),
    "crest": (5, 20),
}


def shop_day(seed: int) -> list[Job]:
    """One day's jobs: half of the lots at a nominal size, half scaled by 0.8 to 1.15; half plain boxes."""
    dice = random.Random(seed)
    kinds = [kind for kind, lots in LOTS.items() for _ in range(lots + dice.randint(-1, 1))]
    dice.shuffle(kinds)
    jobs = []
    for number, kind in enumerate(kinds):
        copies = dice.randint(*COPIES[kind])
        order = f"D{seed}-{number * 150 // len(kinds):03}"
        due_at = START + timedelta(days=number * 3 // len(kinds))
        jobs.append(Job(f"{seed}.{number:03}", order, copies, _shape(kind, dice), "hot peel", due_at))
    return jobs


def _shape(kind: str, dice: random.Random) -> Shape:
    width, height = dice.choice(SIZES[kind])
    scale = 1.0 if dice.random() < 0.5 else dice.uniform(0.8, 1.15)
    if kind == "back":
        scale = min(scale, 300 / width, 400 / height)
    width_mm, height_mm = round(width * scale, 1), round(height * scale, 1)
    if dice.random() < 0.5:
        return Shape(width_mm, height_mm)
    draw = dice.choices(OUTLINES, WEIGHTS)[0]
    ring = tuple((round(x * width_mm, 3), round(y * height_mm, 3)) for x, y in draw(dice))
    return Shape(width_mm, height_mm, (_filled(ring, width_mm, height_mm),))


def _ellipse(_dice: random.Random) -> Ring:
    return tuple(
        (0.5 + 0.5 * math.cos(a / 18 * math.pi), 0.5 + 0.5 * math.sin(a / 18 * math.pi)) for a in range(36)
    )


def _shield(_dice: random.Random) -> Ring:
    side = [(1 - 0.5 * t * t, 0.45 + 0.55 * math.sin(t * math.pi / 2)) for t in (i / 8 for i in range(9))]
    return ((0, 0), (1, 0), *side, *((1 - x, y) for x, y in reversed(side[:-1])))


def _ell(dice: random.Random) -> Ring:
    stem, foot = dice.uniform(0.3, 0.6), dice.uniform(0.3, 0.6)
    ring = ((0.0, 0.0), (stem, 0.0), (stem, 1 - foot), (1.0, 1 - foot), (1.0, 1.0), (0.0, 1.0))
    return ring if dice.random() < 0.5 else tuple((1 - x, y) for x, y in ring)


def _star(dice: random.Random) -> Ring:
    points, inner = dice.choice((5, 6, 8)), dice.uniform(0.4, 0.75)
    reach = [1.0 if i % 2 == 0 else inner for i in range(2 * points)]
    turn = math.pi / points
    return tuple(
        (0.5 + 0.5 * r * math.sin(i * turn), 0.5 - 0.5 * r * math.cos(i * turn)) for i, r in enumerate(reach)
    )


def _arch(dice: random.Random) -> Ring:
    thick = dice.uniform(0.4, 0.6)
    outer = [(0.5 - 0.5 * math.cos(t), 1 - math.sin(t)) for t in (i * math.pi / 18 for i in range(19))]
    inner = [(0.5 + (x - 0.5) * thick, 1 - (1 - y) * thick) for x, y in outer]
    return (*outer, *reversed(inner))


def _blob(dice: random.Random) -> Ring:
    waves = [(dice.uniform(0, 0.12), dice.uniform(0, 2 * math.pi)) for _ in range(3)]
    ring = []
    for i in range(36):
        a = i * math.pi / 18
        r = 1 + sum(size * math.sin((n + 2) * a + phase) for n, (size, phase) in enumerate(waves))
        ring.append((r * math.cos(a), r * math.sin(a)))
    return tuple(ring)


OUTLINES: tuple[Callable[[random.Random], Ring], ...] = (_ellipse, _shield, _ell, _star, _arch, _blob)
WEIGHTS = (3, 3, 1.5, 1, 1, 2)


def _filled(ring: Ring, width_mm: float, height_mm: float) -> Ring:
    """The outline stretched until it touches all four sides of its box."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    across, along = width_mm / (max(xs) - min(xs)), height_mm / (max(ys) - min(ys))
    return tuple(((x - min(xs)) * across, (y - min(ys)) * along) for x, y in ring)
