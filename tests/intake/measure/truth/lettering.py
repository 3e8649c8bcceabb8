"""Words as outlines of a real font, with the thinnest stroke that their medial axes hold."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import fontpkg_noto_sans  # type: ignore[import-untyped]
import numpy as np
from fontTools.pens.recordingPen import DecomposingRecordingPen  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csr_matrix  # type: ignore[import-untyped]
from scipy.sparse.csgraph import connected_components, dijkstra  # type: ignore[import-untyped]
from scipy.spatial import Voronoi, cKDTree  # type: ignore[import-untyped]
from shapely import Polygon, contains_xy, prepare, union_all
from shapely.affinity import scale, translate
from shapely.geometry.base import BaseGeometry

from tests.intake.measure.truth.shapes import Case, Rng, limit_for, placed

WORDS = ("river", "oars", "Bank", "crew", "Otter", "eight", "stroke", "quay", "HULL", "fine", "1066", "&co")
WEIGHTS = (100, 300, 400, 600, 900)
CURVE_STEPS = 12
RUN_MM = 0.5
FLAT_SHARE, FLAT_MM = 0.12, 0.02  # a run stays within this of its thinnest part


@lru_cache(maxsize=1)
def _font() -> TTFont:
    folder = Path(fontpkg_noto_sans.__file__).parent / "files"
    return TTFont(next(folder.glob("NotoSans[[]*.ttf")))


@lru_cache(maxsize=512)
def glyph(character: str, weight: int) -> tuple[BaseGeometry, float]:
    """Outline (y down) and advance of one character in em."""
    font = _font()
    glyphs = font.getGlyphSet(location={"wght": weight})
    name = font.getBestCmap()[ord(character)]
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    unit = font["head"].unitsPerEm
    rings = [np.array(r) / unit * (1, -1) for r in _rings(pen.value)]
    shape: BaseGeometry = Polygon()
    for ring in rings:
        shape = shape.symmetric_difference(Polygon(ring).buffer(0))
    return shape, glyphs[name].width / unit


def _rings(strokes: list[tuple[str, tuple[tuple[float, float], ...]]]) -> list[list[tuple[float, float]]]:
    """Closed rings of points of a TrueType outline."""
    rings: list[list[tuple[float, float]]] = []
    for verb, points in strokes:
        if verb == "moveTo":
            rings.append([points[0]])
        elif verb == "lineTo":
            rings[-1].append(points[0])
        elif verb == "qCurveTo":
            rings[-1] += _quadratics(rings[-1][-1], points)
    return [r for r in rings if len(r) > 2]


def _quadratics(
    start: tuple[float, float], points: tuple[tuple[float, float], ...]
) -> list[tuple[float, float]]:
    """A run of quadratic curves with implied points between their controls."""
    out: list[tuple[float, float]] = []
    here = np.array(start)
    for k, control in enumerate(points[:-1]):
        last = k == len(points) - 2
        end = np.array(points[-1]) if last else 0.5 * (np.array(control) + np.array(points[k + 1]))
        t = np.linspace(0, 1, CURVE_STEPS + 1)[1:, None]
        curve = (1 - t) ** 2 * here + 2 * t * (1 - t) * np.array(control) + t**2 * end
        out += [(float(x), float(y)) for x, y in curve]
        here = end
    return out


def word(rng: Rng) -> Case:
    """A word of 4 to 14 pt in one of five weights."""
    weight = int(rng.choice(WEIGHTS))
    size_mm = float(rng.uniform(4, 14)) * 25.4 / 72
    text = str(rng.choice(WORDS))
    parts, x = [], 0.0
    for character in text:
        shape, advance = glyph(character, weight)
        parts.append(translate(shape, x, 0))
        x += advance
    outline = scale(union_all(parts), size_mm, size_mm, origin=(0, 0))
    line = thinnest_stroke(outline)
    limit = limit_for(line) if line else 0.3
    return placed(outline, rng, family="type", limit_mm=limit, line_mm=line, note=f"{text} {weight}")


def thinnest_stroke(shape: BaseGeometry, run_mm: float = RUN_MM) -> float | None:
    """The least mean width of a centre line that stays flat for the run; None when no such run exists.

    The medial axis is that of the Voronoi diagram of densely sampled outlines (Brandt 1994); branches into
    corners are left out by the angle between their nearest outline points.
    """
    points = _outline_points(shape, 0.004)
    diagram = Voronoi(points)
    radius = cKDTree(points).query(diagram.vertices)[0]
    prepare(shape)
    inside = np.asarray(contains_xy(shape, *diagram.vertices.T))
    ridges = np.array(diagram.ridge_vertices)
    pairs = diagram.ridge_points
    apart = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
    good = np.asarray((ridges >= 0).all(axis=1), bool)
    good[good] &= inside[ridges[good]].all(axis=1)
    good[good] &= apart[good] > 1.5 * radius[ridges[good]].mean(axis=1)
    a, b = ridges[good].T
    length = np.linalg.norm(diagram.vertices[a] - diagram.vertices[b], axis=1)
    return _thinnest_run(a, b, length, 2.0 * radius, run_mm)


def _outline_points(shape: BaseGeometry, step_mm: float) -> NDArray[np.float64]:
    rings = []
    for part in getattr(shape, "geoms", [shape]):
        for ring in (part.exterior, *part.interiors):
            count = max(int(ring.length / step_mm), 12)
            rings.append(
                np.array([ring.interpolate(k / count, normalized=True).coords[0] for k in range(count)])
            )
    return np.concatenate(rings)


def _thinnest_run(
    a: NDArray[np.int64],
    b: NDArray[np.int64],
    length: NDArray[np.float64],
    width: NDArray[np.float64],
    run: float,
) -> float | None:
    """The least width w such that a connected piece between w and w (1 + share) + margin is a run."""
    edge = 0.5 * (width[a] + width[b])
    degree = np.bincount(np.concatenate([a, b]), minlength=len(width))
    best: float | None = None
    for w in np.unique(np.round(edge, 3)):
        if best is not None and w > best:  # a run found from a lower bound may have been wider than this one
            break
        fits = np.flatnonzero((edge >= w - 0.0005) & (edge <= w * (1 + FLAT_SHARE) + FLAT_MM))
        if length[fits].sum() < run - w:
            continue
        graph = coo_matrix((length[fits], (a[fits], b[fits])), shape=(len(width), len(width))).tocsr()
        count, label = connected_components(graph, directed=False)
        total = np.bincount(label[a[fits]], weights=length[fits], minlength=count)
        for piece in np.flatnonzero(total + w >= max(run, 2.5 * w)):
            mine = fits[label[a[fits]] == piece]
            nodes = np.unique(np.concatenate([a[mine], b[mine]]))
            # A centre line stops half a width before a blunt end; it runs on into a wider part.
            ends = min(2, int((degree[nodes] == 1).sum()))
            if _longest_path(graph, nodes) + 0.5 * w * ends >= max(run, 2.5 * w):
                near = mine[edge[mine] <= edge[mine].min() + 0.01]
                found = float(np.average(edge[near], weights=length[near]))
                best = found if best is None else min(best, found)
    return best


def _longest_path(graph: csr_matrix, nodes: NDArray[np.int64]) -> float:
    """The longest shortest path in a piece, by going to the farthest point twice (exact on trees)."""
    start = nodes[0]
    for _ in range(2):
        far = dijkstra(graph, directed=False, indices=start)
        far[~np.isfinite(far)] = -1.0
        start = int(far.argmax())
    return float(far.max())
