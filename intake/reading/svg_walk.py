"""The walk through a drawing: each stroke, thin fill, picture and piece of text with the matrix over it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from xml.etree.ElementTree import Element

from intake.reading.pdf_lines import Path, ThinLine, stroke_of, thin_fills
from intake.reading.pdf_matrix import Box, Matrix
from intake.reading.pdf_painted import Budget, ImageSource, Painted
from intake.reading.svg_clean import Cleaned
from intake.reading.svg_state import State, shape_of
from intake.reading.svg_values import PX_TO_POINTS, fit_view, read_transform, read_view_box, references

DEEPEST = 400
# Fills thicker than this share of the page's longer side are never lines, at whatever size it is printed.
_THICKEST_SHARE = 0.03
_NEVER_PAINTED = frozenset(
    {
        "defs",
        "symbol",
        "clipPath",
        "mask",
        "pattern",
        "marker",
        "linearGradient",
        "radialGradient",
        "filter",
        "title",
        "desc",
        "metadata",
        "style",
        "font",
        "font-face",
    }
)
_AVERAGE_ADVANCE = 0.5  # of the font size, for the place of a word only
_CHARACTERS_AN_OPERATION = 16
_EVERYTHING = Box(-1e11, -1e11, 1e11, 1e11)
_LEAST = 1e-9
_MOST_FONTS = 200


@dataclass(slots=True)
class Drawn:
    """What a walk found beside lines and pictures."""

    painted: Painted = field(default_factory=Painted)
    fonts: set[str] = field(default_factory=set)
    least_text_pt: float | None = None
    box: Box | None = None  # round everything that is painted, in points
    bent_lines: bool = False  # lines that keep their width under unequal scaling: drawn as near as can be


class SvgWalk:
    """Walks a cleaned drawing once and collects what it paints."""

    def __init__(self, root: Element, cleaned: Cleaned, longer_side_pt: float) -> None:
        self.drawn = Drawn()
        self.budget = Budget()
        self._sizes = cleaned.sizes
        self._thickest = _THICKEST_SHARE * longer_side_pt
        self._by_id = {e.get("id", ""): e for e in reversed(list(root.iter())) if e.get("id")}
        self._open: set[int] = set()

    def children(self, element: Element, state: State) -> None:
        """Everything that is painted inside an element."""
        for child in element:
            self.element(child, state)

    def element(self, element: Element, outer: State) -> None:
        """One element with all that hangs on it; what is not displayed is nothing."""
        if element.tag in _NEVER_PAINTED or element.get("display") == "none":
            return
        if not self.budget.take_operation() or len(self._open) > DEEPEST or id(element) in self._open:
            return
        state = outer.inside(element)
        if state.opacity <= 0 or not state.ctm.is_finite():
            return
        self._open.add(id(element))
        try:
            clipped = self._clipped(element, state)
            self._mask(element, clipped)
            _PAINTERS.get(element.tag, _paint_shape)(self, element, clipped)
        finally:
            self._open.discard(id(element))

    def target(self, address: str) -> Element | None:
        """The element that `#name` means."""
        return self._by_id.get(address[1:]) if address.startswith("#") else None

    def _pointed(self, element: Element, name: str) -> Element | None:
        named = references(element.get(name, ""))
        return self.target(named[0]) if named else None

    def _clipped(self, element: Element, state: State) -> State:
        """The state cut to the box round what the clip path shows."""
        clip = self._pointed(element, "clip-path")
        if clip is None or clip.get("clipPathUnits") == "objectBoundingBox":
            return state
        boxes = []
        for child in list(clip)[:1000]:
            inner = state.inside(clip).inside(child)
            path = shape_of(child, inner)
            box = path.box(inner.ctm) if path else None
            if box is None:
                return state
            boxes.append(box)
        if not boxes:
            return state
        whole = Box(*(f(b[k] for b in boxes) for k, f in enumerate((min, min, max, max))))
        return replace(state, clip=state.clip.cut(whole))

    def _mask(self, element: Element, state: State) -> None:
        """Pictures inside a mask count by their own resolution."""
        mask = self._pointed(element, "mask")
        if mask is None or mask.get("maskContentUnits") == "objectBoundingBox" or id(mask) in self._open:
            return
        self._open.add(id(mask))
        self.children(mask, replace(state, in_mask=True, opacity=1.0, paint={}))
        self._open.discard(id(mask))

    def see(self, box: Box, state: State) -> Box:
        """Note that something is painted within a box; returns what of it is shown."""
        shown = box.cut(state.clip)
        if not shown.is_empty():
            had = self.drawn.box or shown
            self.drawn.box = Box(
                min(had.x0, shown.x0), min(had.y0, shown.y0), max(had.x1, shown.x1), max(had.y1, shown.y1)
            )
        return shown

    def shape(self, path: Path, state: State, element: Element) -> None:
        """Fill and stroke of one path."""
        box = path.box(state.ctm)
        if box is None or state.in_mask:
            return
        painted = self.drawn.painted
        if state.paints("fill"):
            self._note_paint(box, state)
            self._pattern(state.paint.get("fill", ""), path, state)
            is_outlined = state.paints("stroke") and state.stroke_width > 0
            for line in () if is_outlined else thin_fills(path, state.ctm, self._thickest):
                if line.width_pt > _LEAST:  # what has no area is not filled (SVG 2, 13.4)
                    painted.add_line(line, state.clip)
        if state.paints("stroke") and state.stroke_width > 0:
            keeps_width = self._keeps_width(element, state)
            stroke = stroke_of(path, state.stroke_width, state.ctm, painted.thickest_kept)
            if stroke is None:
                return
            if keeps_width:
                stroke = stroke._replace(width_pt=state.stroke_width * PX_TO_POINTS)
            self._note_paint(stroke.box, state)
            self._pattern(state.paint.get("stroke", ""), path, state)
            painted.add_line(stroke, state.clip)

    def _note_paint(self, box: Box, state: State) -> None:
        self.drawn.painted.has_other_paint = True
        self.see(box, state)

    def _keeps_width(self, element: Element, state: State) -> bool:
        """Whether a line keeps its width at any scale: then it is drawn so, as near as the renderer can."""
        if element.get("vector-effect") != "non-scaling-stroke":
            return False
        greatest, least = state.ctm.stretches()
        middle = (greatest * least) ** 0.5
        if middle <= _LEAST:
            return False
        self.drawn.bent_lines |= greatest > least * 1.01
        element.set("stroke-width", f"{state.stroke_width * PX_TO_POINTS / middle:.9g}")
        return True

    def _pattern(self, paint: str, path: Path, state: State) -> None:
        """Pictures and lines inside a pattern count where it is painted."""
        named = references(paint)
        pattern = self.target(named[0]) if named else None
        if pattern is None or pattern.tag != "pattern" or id(pattern) in self._open:
            return
        box = path.box(Matrix())
        filled = self._with_content(pattern)
        if box is None or filled is None:
            return
        ctm = _pattern_matrix(pattern, box, state)
        shown = state.clip.cut(path.box(state.ctm) or state.clip)
        self._open.add(id(pattern))
        self.children(filled, State(ctm, shown, state.viewport))
        self._open.discard(id(pattern))

    def _with_content(self, pattern: Element) -> Element | None:
        """The pattern itself, or the one that it borrows its content from."""
        for _ in range(10):
            if len(pattern):
                return pattern
            following = self.target(pattern.get("href", ""))
            if following is None:
                return None
            pattern = following
        return None

    def image(self, element: Element, state: State) -> None:
        """An embedded picture, fitted into its box."""
        wide, high = state.across(element.get("width"), -1), state.down(element.get("height"), -1)
        known = self._sizes.get(id(element))
        if known is None:  # a drawing inside the drawing, or nothing
            box = state.ctm.box_of(0, 0, max(wide, 0), max(high, 0))
            self._note_paint(box, state)
            return
        pixels, lossy = known
        wide, high = _auto_size(wide, high, pixels)
        if wide <= 0 or high <= 0 or state.paint.get("visibility") == "hidden":
            return
        x, y = state.across(element.get("x")), state.down(element.get("y"))
        into = Box(x, y, x + wide, y + high)
        view = Box(0, 0, *map(float, pixels))
        ctm = fit_view(view, into, element.get("preserveAspectRatio")).then(state.ctm)
        unit = Matrix(a=float(pixels[0]), d=float(pixels[1])).then(ctm)
        shown = self.see(ctm.box_of(*view).cut(state.ctm.box_of(*into)), state)
        if shown.is_empty():
            return
        source = ImageSource(pixels, ("DCTDecode",) if lossy else (), is_plain=pixels == (1, 1))
        self.drawn.painted.add_image(source, unit, "soft mask" if state.in_mask else "image", shown)

    def text(self, element: Element, state: State) -> None:
        """Live text: its fonts, its least size, and the line of letters that are outlined only."""
        words = "".join(element.itertext()).strip()
        if not words or state.in_mask or not (state.paints("fill") or state.paints("stroke")):
            return
        painted = self.drawn.painted
        painted.has_text = True
        x, y = state.across(_first(element.get("x"))), state.down(_first(element.get("y")))
        for part in element.iter():
            inner = state.inside(part) if part is not element else state
            self._note_font(inner)
        size = state.font_px
        box = state.ctm.box_of(x, y - size, x + _AVERAGE_ADVANCE * size * len(words), y + 0.25 * size)
        self._note_paint(box, state)
        if state.paints("stroke") and not state.paints("fill"):
            width = state.stroke_width * state.ctm.stretches()[1]
            painted.add_line(ThinLine(width, "stroke", box, ()), state.clip)

    def _note_font(self, state: State) -> None:
        if len(self.drawn.fonts) < _MOST_FONTS:
            self.drawn.fonts.add(_first_family(state.paint.get("font-family", "")))
        size = state.font_px * state.ctm.stretches()[1]
        if size > 0 and (self.drawn.least_text_pt is None or size < self.drawn.least_text_pt):
            self.drawn.least_text_pt = size

    def nested(self, element: Element, state: State, size: tuple[str | None, str | None]) -> None:
        """An inner `svg`, or a `symbol` that is used: a viewport of its own."""
        x, y = state.across(element.get("x")), state.down(element.get("y"))
        if element.tag == "symbol":
            x = y = 0.0
        wide, high = state.across(size[0] or "100%"), state.down(size[1] or "100%")
        into = Box(x, y, x + wide, y + high)
        if wide <= 0 or high <= 0:
            return
        clip = state.clip
        if element.get("overflow", "hidden") not in ("visible", "auto"):
            clip = clip.cut(state.ctm.box_of(*into))
        view = read_view_box(element.get("viewBox"))
        place = fit_view(view, into, element.get("preserveAspectRatio")) if view else Matrix(e=x, f=y)
        inside = (view.x1 - view.x0, view.y1 - view.y0) if view else (wide, high)
        self.children(element, replace(state, ctm=place.then(state.ctm), clip=clip, viewport=inside))


def _paint_shape(walk: SvgWalk, element: Element, state: State) -> None:
    walk.budget.operations -= len(element.get("d") or element.get("points") or "") // _CHARACTERS_AN_OPERATION
    path = shape_of(element, state)
    if path is not None:
        walk.shape(path, state, element)


def _paint_group(walk: SvgWalk, element: Element, state: State) -> None:
    walk.children(element, state)


def _paint_use(walk: SvgWalk, element: Element, state: State) -> None:
    target = walk.target(element.get("href", ""))
    if target is None:
        return
    shift = Matrix(e=state.across(element.get("x")), f=state.down(element.get("y")))
    moved = replace(state, ctm=shift.then(state.ctm))
    if target.tag not in ("symbol", "svg"):
        walk.element(target, moved)
    elif target.get("display") != "none":
        size = element.get("width") or target.get("width"), element.get("height") or target.get("height")
        walk.nested(target, moved.inside(target), size)


def _paint_switch(walk: SvgWalk, element: Element, state: State) -> None:
    """The first child without a language or feature of its own, or in English."""
    for child in element:
        if child.get("systemLanguage", "en").startswith("en") and not child.get("requiredExtensions"):
            walk.element(child, state)
            return


_PAINTERS: dict[str, Callable[[SvgWalk, Element, State], None]] = {
    "g": _paint_group,
    "a": _paint_group,
    "svg": lambda walk, element, state: walk.nested(
        element, state, (element.get("width"), element.get("height"))
    ),
    "use": _paint_use,
    "switch": _paint_switch,
    "image": SvgWalk.image,
    "text": SvgWalk.text,
}


def _pattern_matrix(pattern: Element, box: Box, state: State) -> Matrix:
    """From a pattern's content to the page (SVG 2, 14.3)."""
    wide, high = box.x1 - box.x0, box.y1 - box.y0
    of_box = pattern.get("patternUnits", "objectBoundingBox") == "objectBoundingBox"
    unit = State(Matrix(), _EVERYTHING, (1.0, 1.0) if of_box else state.viewport)
    x, y = unit.across(pattern.get("x")), unit.down(pattern.get("y"))
    tile = Box(x, y, x + unit.across(pattern.get("width")), y + unit.down(pattern.get("height")))
    if of_box:
        tile = Matrix(wide, 0, 0, high, box.x0, box.y0).box_of(*tile)
    view = read_view_box(pattern.get("viewBox"))
    if view is not None:
        inner = fit_view(view, tile, pattern.get("preserveAspectRatio"))
    elif pattern.get("patternContentUnits") == "objectBoundingBox":
        inner = Matrix(wide, 0, 0, high, tile.x0, tile.y0)
    else:
        inner = Matrix(e=tile.x0, f=tile.y0) if of_box else Matrix()
    return inner.then(read_transform(pattern.get("patternTransform"))).then(state.ctm)


def _auto_size(wide: float, high: float, pixels: tuple[int, int]) -> tuple[float, float]:
    """A picture without width or height takes them from its own shape (SVG 2, 7.8)."""
    if wide < 0 and high < 0:
        return float(pixels[0]), float(pixels[1])
    if wide < 0:
        return high * pixels[0] / pixels[1], high
    return (wide, wide * pixels[1] / pixels[0]) if high < 0 else (wide, high)


def _first(numbers: str | None) -> str | None:
    """The first of a list of places, one a letter."""
    return numbers.replace(",", " ").split()[0] if numbers and numbers.strip() else None


def _first_family(families: str) -> str:
    return families.split(",")[0].strip(" '\"")[:60]
