"""Things that people draw: outlined and knocked-out type, crossings, rings, dashes, dots, swashes."""

from __future__ import annotations

import numpy as np
from shapely import LineString, Point, Polygon, box, union_all
from shapely.affinity import rotate, translate
from shapely.affinity import scale as stretched
from shapely.geometry.base import BaseGeometry

from tests.intake.measure.truth.lettering import WORDS, glyph, thinnest_stroke
from tests.intake.measure.truth.shapes import Case, Rng, annulus, limit_for, placed, rectangle


def thin_of(rng: Rng, least: float = 0.12, most: float = 0.6) -> float:
    """A width, thin ones more often."""
    return float(np.exp(rng.uniform(np.log(least), np.log(most))))


def lettered(text: str, weight: int, size_mm: float) -> BaseGeometry:
    """A word's outlines, of an em's size."""
    parts, x = [], 0.0
    for character in text:
        shape, advance = glyph(character, weight)
        parts.append(translate(shape, x, 0))
        x += advance
    return stretched(union_all(parts), size_mm, size_mm, origin=(0, 0))


def outlined_type(rng: Rng) -> Case:
    """Large letters drawn as thin outlines only."""
    w = thin_of(rng, 0.12, 0.4)
    word = lettered(str(rng.choice(["HULL", "eight", "oars"])), 700, float(rng.uniform(10, 16)) + 8 * w)
    line = word.buffer(w / 2, quad_segs=32).difference(word.buffer(-w / 2, quad_segs=32))
    return placed(line, rng, family="outlined type", limit_mm=limit_for(w), line_mm=w)


def knocked_out_type(rng: Rng) -> Case:
    """Letters cut out of a solid: their strokes are gaps."""
    word = lettered(str(rng.choice(WORDS)), int(rng.choice([300, 400])), float(rng.uniform(3, 9)))
    gap = thinnest_stroke(word)
    x0, y0, x1, y1 = word.bounds
    solid = box(x0 - 2, y0 - 2, x1 + 2, y1 + 2).difference(word)
    return placed(solid, rng, family="knocked-out type", limit_mm=limit_for(gap or 0.3), gap_mm=gap)


def type_on_an_arc(rng: Rng) -> Case:
    """Letters along an arc, each turned."""
    size, text = float(rng.uniform(3, 6)), str(rng.choice(["HULL", "quay", "river", "crew", "oars"]))
    weight, radius = int(rng.choice([300, 400])), float(rng.uniform(8, 20))
    parts, x = [], 0.0
    for character in text:
        shape, advance = glyph(character, weight)
        letter = translate(stretched(shape, size, size, origin=(0, 0)), -advance * size / 2, -radius)
        parts.append(rotate(letter, np.degrees((x + advance / 2) * size / radius), origin=(0, 0)))
        x += advance + 0.05
    word = union_all(parts)
    line = thinnest_stroke(word)
    return placed(word, rng, family="type on an arc", limit_mm=limit_for(line or 0.3), line_mm=line)


def crossing(rng: Rng) -> Case:
    """Hairlines that cross at any angle from 15 degrees."""
    w, count = thin_of(rng, 0.10, 0.4), int(rng.integers(2, 5))
    turns = np.cumsum(rng.uniform(15, 180 / count, count))
    lines = [
        translate(rotate(rectangle(10, w), t, origin=(0, 0)), *(float(v) for v in rng.uniform(-1, 1, 2)))
        for t in turns
    ]
    return placed(union_all(lines), rng, family="crossing", limit_mm=limit_for(w), line_mm=w)


def concentric(rng: Rng) -> Case:
    """Rings about one middle, lines and gaps of their own widths, the innermost as small as three gaps."""
    w, gap = thin_of(rng, 0.12, 0.5), thin_of(rng, 0.2, 0.6)
    first, count = float(rng.uniform(1.5, 3)) * (w + gap), int(rng.integers(2, 6))
    rings = [annulus(first + k * (w + gap), w) for k in range(count)]
    limit = limit_for(max(w, gap))
    return placed(union_all(rings), rng, family="concentric", limit_mm=limit, line_mm=w, gap_mm=gap)


def small_clear_ring(rng: Rng) -> Case:
    """A thin clear ring of small radius in a solid."""
    gap = thin_of(rng, 0.15, 0.4)
    radius = float(rng.uniform(1.6, 4)) * gap + 0.1
    solid = Point(0, 0).buffer(radius + gap + 2, 64).difference(annulus(radius, gap))
    return placed(solid, rng, family="small clear ring", limit_mm=limit_for(gap), gap_mm=gap)


def dashes(rng: Rng) -> Case:
    """A dashed line: dashes four to eight times as long as wide, gaps between them no narrower."""
    w = thin_of(rng, 0.12, 0.5)
    long, gap = w * float(rng.uniform(4, 8)) + 0.5, w * float(rng.uniform(1.2, 3))
    parts = [translate(rectangle(long, w), k * (long + gap), 0) for k in range(int(rng.integers(3, 8)))]
    return placed(union_all(parts), rng, family="dashes", limit_mm=limit_for(w), line_mm=w)


def dotted_row(rng: Rng) -> Case:
    """Round dots in a row."""
    d = thin_of(rng, 0.12, 0.45)
    pitch, count = d * float(rng.uniform(1.8, 3)), int(rng.integers(4, 12))
    dots = union_all([Point(k * pitch, 0).buffer(d / 2, 64) for k in range(count)])
    return placed(dots, rng, family="dotted row", limit_mm=0.3, islands=count, island_mm=d)


def swash(rng: Rng) -> Case:
    """A curved stroke that swells and thins out to nothing at both ends: its tips are no lines."""
    wide, t = float(rng.uniform(1.2, 1.8)), np.linspace(0, 1, 300)
    long, bend = float(rng.uniform(6, 14)), float(rng.uniform(-2, 2))
    x, y = (t - 0.5) * long, bend * np.sin(np.pi * t * float(rng.uniform(1, 2)))
    normal = np.stack([-np.gradient(y), np.gradient(x)])
    normal /= np.linalg.norm(normal, axis=0)
    half = 0.5 * wide * np.sin(np.pi * t)
    sides = [np.stack([x, y]) + s * half * normal for s in (1, -1)]
    shape = Polygon(np.concatenate([sides[0].T, sides[1].T[::-1]])).buffer(0)
    return placed(shape, rng, family="swash", limit_mm=0.3)


def near_discs(rng: Rng) -> Case:
    """Round letters that nearly touch: a gap that is thinnest at a point."""
    gap, radius = thin_of(rng, 0.12, 0.5), float(rng.uniform(1.5, 4))
    discs = [Point(s * (radius + gap / 2), 0).buffer(radius, 256) for s in (-1, 1)]
    return placed(
        union_all(discs), rng, family="near discs", limit_mm=limit_for(gap), gap_mm=gap, centred=True
    )


def touching_discs(rng: Rng) -> Case:
    """Round letters that overlap a little: a neck whose sides are arcs."""
    w, radius = thin_of(rng, 0.15, 0.6), float(rng.uniform(1.5, 4))
    apart = 2 * np.sqrt(radius**2 - (w / 2) ** 2)
    discs = [Point(s * apart / 2, 0).buffer(radius, 512) for s in (-1, 1)]
    return placed(
        union_all(discs), rng, family="touching discs", limit_mm=limit_for(w), line_mm=w, centred=True
    )


def handwriting(rng: Rng) -> Case:
    """A line of one width that bends softly, as a pen draws it."""
    w = thin_of(rng, 0.12, 0.6)
    t = np.linspace(0, 1, 400)
    x = 12 * t + 0.8 * np.sin(2 * np.pi * t * float(rng.uniform(1, 2)))
    y = 1.2 * np.sin(2 * np.pi * t * float(rng.uniform(1, 2.5)) + float(rng.uniform(0, 6)))
    shape = LineString(np.stack([x, y], 1)).buffer(w / 2, quad_segs=32)
    return placed(shape, rng, family="handwriting", limit_mm=limit_for(w), line_mm=w)


DRAWN = (
    outlined_type,
    knocked_out_type,
    type_on_an_arc,
    crossing,
    concentric,
    small_clear_ring,
    dashes,
    dotted_row,
    swash,
    near_discs,
    touching_discs,
    handwriting,
)
