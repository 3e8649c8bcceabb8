"""How much a drawing grows when it is drawn: what is used over and over counts each time."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from intake.reading.svg_tree import too_involved
from intake.reading.svg_values import references

MOST_REPEATED = 200_000
_DEEPEST = 300
_INHERITED = ("fill", "stroke", "marker-start", "marker-mid", "marker-end")
_SHAPES = frozenset(
    {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "use", "image"}
)


def refuse_explosions(root: Element) -> None:
    """Raise ArtworkRefused for a drawing whose uses, patterns, masks and markers multiply without bounds.

    One counting of each element, however often it is used: linear in the size of the file.
    """
    counted = _Counting({e.get("id", ""): e for e in reversed(list(root.iter())) if e.get("id")})
    own = sum(1 for _ in root.iter())
    if counted.weight_of(root, 0) > own + MOST_REPEATED:
        raise too_involved("parts of it are repeated inside each other many thousand times over")


class _Counting:
    def __init__(self, by_id: dict[str, Element]) -> None:
        self._by_id = by_id
        self._weights: dict[int, int] = {}
        self._open: set[int] = set()

    def weight_of(self, element: Element, depth: int) -> int:
        """Elements drawn for this one; a loop back to one that is being drawn draws nothing."""
        if depth > _DEEPEST:
            raise too_involved("parts of it use each other in too long a chain")
        key = id(element)
        if key in self._weights:
            return self._weights[key]
        if key in self._open:
            return 0
        self._open.add(key)
        weight = 1 + sum([self.weight_of(child, depth + 1) for child in element])
        for name, target in self._targets(element):
            each = self.weight_of(target, depth + 1)
            is_for_all = name in _INHERITED and element.tag not in _SHAPES
            weight += each * (weight if is_for_all else 1)
        self._open.discard(key)
        self._weights[key] = min(weight, 1 << 60)
        return self._weights[key]

    def _targets(self, element: Element) -> Iterator[tuple[str, Element]]:
        for name, value in element.attrib.items():
            named = [value] if name == "href" else references(value)
            for one in named:
                target = self._by_id.get(one[1:]) if one.startswith("#") else None
                if target is not None:
                    yield name, target
