"""The walk through a page's content: whatever paints, wherever it sits, with the matrix over it."""
# ruff: noqa: ARG001 - every operator is called with the walk, its frame and the operands

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import pikepdf

from intake.reading.pdf_document import is_out_of_bounds, too_heavy
from intake.reading.pdf_inks import inks_of
from intake.reading.pdf_layers import Layers
from intake.reading.pdf_lines import Path
from intake.reading.pdf_matrix import Box, Matrix
from intake.reading.pdf_painted import Budget, ImageSource, Painted
from intake.reading.pdf_sheet import Sheet
from intake.reading.pdf_tokens import operations
from intake.reading.pdf_values import inherited, number, numbers, plain_name

DEEPEST = 24
MOST_STATES = 2000
# An operator with operands that make no sense is stepped over, as viewers do.
STEPPED_OVER = (
    pikepdf.PdfError,
    ArithmeticError,
    AttributeError,
    LookupError,
    RuntimeError,
    TypeError,
    ValueError,
)


@dataclass(slots=True)
class State:
    """The graphics state, as far as it decides what is painted where (ISO 32000-1 8.4)."""

    ctm: Matrix
    clip: Box
    line_width: float = 1.0
    fill_alpha: float = 1.0
    stroke_alpha: float = 1.0
    fill_pattern: Any = None
    stroke_pattern: Any = None
    overprints_fill: bool = False
    overprints_stroke: bool = False
    font: Any = None
    font_size: float = 0.0
    text_mode: int = 0
    text_scale: float = 1.0
    leading: float = 0.0
    rise: float = 0.0


@dataclass(slots=True)
class Frame:
    """One content stream being walked: its resources, what is under construction, and what it is part of."""

    resources: Any
    base: Matrix  # of the stream's own start: patterns hang on it, not on the current matrix
    state: State
    depth: int = 0
    in_mask: bool = False
    saved: list[State] = field(default_factory=list)
    path: Path = field(default_factory=Path)
    clips: bool = False
    marks: list[bool] = field(default_factory=list)
    hidden: int = 0
    text_at: Matrix = field(default_factory=Matrix)
    line_at: Matrix = field(default_factory=Matrix)

    def resource(self, kind: str, name: object) -> Any:
        """A named resource, or None."""
        if not isinstance(self.resources, pikepdf.Dictionary):
            return None
        group = self.resources.get(kind)
        return group.get("/" + str(name)) if isinstance(group, pikepdf.Dictionary) and name else None


Operator = Callable[["Walk", Frame, list[Any]], None]
OPERATORS: dict[str, Operator] = {}


def operator(*names: str) -> Callable[[Operator], Operator]:
    """Register a function for one or more content operators."""

    def register(function: Operator) -> Operator:
        OPERATORS.update(dict.fromkeys(names, function))
        return function

    return register


class Walk:
    """Walks the content of one page and collects what is painted; loops end it, bombs are refused."""

    def __init__(self, sheet: Sheet, layers: Layers, budget: Budget) -> None:
        self.sheet = sheet
        self.layers = layers
        self.budget = budget
        self.painted = Painted()
        self.walked_patterns: set[tuple[object, ...]] = set()
        self.walked_masks: set[tuple[object, ...]] = set()
        self.walked_glyphs: set[tuple[object, ...]] = set()
        self._open: list[tuple[int, int]] = []
        self._unpacked: dict[tuple[int, int], bytes] = {}

    def page(self, page: pikepdf.Page) -> Painted:
        """Walk the page's own content, then what its annotations show."""
        state = State(self.sheet.to_points, self.sheet.frame)
        frame = Frame(inherited(page.obj, "/Resources"), self.sheet.to_points, state)
        self.run(self._page_content(page.obj.get("/Contents")), frame)
        annotations = page.obj.get("/Annots")
        if isinstance(annotations, pikepdf.Array):
            for annotation in list(annotations)[:5000]:
                self._annotation(annotation)
        return self.painted

    def run(self, content: bytes, frame: Frame) -> None:
        """Walk one content stream."""
        for name, operands in operations(content):
            if not self.budget.take_operation():
                return
            function = OPERATORS.get(name)
            if function is None:
                continue
            try:
                function(self, frame, operands)
            except STEPPED_OVER:
                continue

    def _page_content(self, contents: Any) -> bytes:
        if isinstance(contents, pikepdf.Stream):
            return self.unpack(contents)
        if isinstance(contents, pikepdf.Array):
            return b"\n".join(
                self.unpack(part) for part in list(contents) if isinstance(part, pikepdf.Stream)
            )
        return b""

    def unpack(self, stream: Any) -> bytes:
        """The content of a stream, unpacked once; "" when it is damaged.

        Raises ArtworkRefused `pdf-bomb` when the page's content unpacks to more than the budget allows.
        """
        key = stream.objgen
        if key != (0, 0) and key in self._unpacked:
            return self._unpacked[key]
        try:
            content = bytes(stream.read_bytes())
        except STEPPED_OVER as error:
            if is_out_of_bounds(error):
                raise too_heavy() from error
            self.painted.unread.add("content")
            content = b""
        self.budget.content_bytes -= len(content)
        if self.budget.content_bytes < 0:
            raise too_heavy()
        self._unpacked[key] = content
        return content

    def form(self, stream: Any, frame: Frame, ctm: Matrix, *, in_mask: bool = False) -> None:
        """Walk a form XObject, a pattern cell or a glyph; `ctm` leads from its own space to the page."""
        key = stream.objgen
        if frame.depth >= DEEPEST or (key != (0, 0) and key in self._open) or not ctm.is_finite():
            return
        self.budget.forms -= 1
        if self.budget.forms < 0:
            raise too_heavy()  # forms within forms: the picture would take for ever too
        state = copy.copy(frame.state)
        state.ctm = ctm
        box = numbers(stream.get("/BBox"), 4)
        if box:
            state.clip = state.clip.cut(ctm.box_of(*box))
        if state.clip.is_empty():
            return
        resources = stream.get("/Resources")
        resources = resources if isinstance(resources, pikepdf.Dictionary) else frame.resources
        inner = Frame(resources, ctm, state, frame.depth + 1, frame.in_mask or in_mask)
        self._open.append(key)
        try:
            self.run(self.unpack(stream), inner)
        finally:
            self._open.pop()

    def _annotation(self, annotation: Any) -> None:
        """What an annotation shows on the page (ISO 32000-1 12.5.5); hidden ones show nothing."""
        try:
            if plain_name(annotation.get("/Subtype")) == "Popup" or int(annotation.get("/F", 0)) & (2 | 32):
                return
            if self.layers.is_hidden(annotation.get("/OC")):
                return
            look, place = _appearance(annotation), numbers(annotation.get("/Rect"), 4)
            box = numbers(look.get("/BBox"), 4) if look is not None else None
            if look is None or place is None or box is None:
                return
            own = form_matrix(look)
            turned = own.box_of(*box)
            x0, x1 = sorted((place[0], place[2]))
            y0, y1 = sorted((place[1], place[3]))
            wide, high = turned.x1 - turned.x0, turned.y1 - turned.y0
            sx, sy = (x1 - x0) / wide if wide else 1.0, (y1 - y0) / high if high else 1.0
            onto = Matrix(sx, 0, 0, sy, x0 - turned.x0 * sx, y0 - turned.y0 * sy)
            state = State(self.sheet.to_points, self.sheet.frame)
            self.form(
                look, Frame(None, self.sheet.to_points, state), own.then(onto).then(self.sheet.to_points)
            )
        except STEPPED_OVER:
            self.painted.unread.add("annotation")

    def paint_image(self, frame: Frame, source: ImageSource, kind: str) -> Box | None:
        """Note an image painted under the current matrix; None when it lies out of sight."""
        state = frame.state
        shown = state.ctm.box_of(0, 0, 1, 1).cut(state.clip)
        if shown.area <= 0 or not state.ctm.is_finite():
            return None
        self.painted.add_image(source, state.ctm, "soft mask" if frame.in_mask else kind, shown)
        return shown

    def paint_pattern(self, frame: Frame, pattern: Any) -> None:
        """Walk the cell of a tiling pattern once for every matrix that it is painted with."""
        if not isinstance(pattern, pikepdf.Stream):
            return
        ctm = form_matrix(pattern).then(frame.base)
        key = (pattern.objgen, *(round(v, 3) for v in ctm))
        if key not in self.walked_patterns:
            self.walked_patterns.add(key)
            # A cell begins with the state of the page's start, not the one at hand (ISO 32000-1 8.7.3.1).
            fresh = State(frame.base, frame.state.clip)
            self.form(pattern, Frame(frame.resources, frame.base, fresh, frame.depth, frame.in_mask), ctm)

    def note_space(self, space: Any) -> None:
        """Remember the inks of a colour space."""
        inks, spots = inks_of(space)
        self.painted.inks |= inks
        self.painted.spots |= spots


def form_matrix(stream: Any) -> Matrix:
    """The Matrix of a form or pattern; the identity when it has none."""
    own = numbers(stream.get("/Matrix"), 6)
    return Matrix(*own) if own else Matrix()


def _appearance(annotation: Any) -> Any:
    """The normal appearance stream of an annotation in its present state."""
    looks = annotation.get("/AP")
    normal = looks.get("/N") if isinstance(looks, pikepdf.Dictionary) else None
    if isinstance(normal, pikepdf.Stream):
        return normal
    if isinstance(normal, pikepdf.Dictionary):
        chosen = (
            normal.get("/" + plain_name(annotation.get("/AS"))) if plain_name(annotation.get("/AS")) else None
        )
        return chosen if isinstance(chosen, pikepdf.Stream) else None
    return None


@operator("q")
def _save(walk: Walk, frame: Frame, _: list[Any]) -> None:
    if len(frame.saved) < MOST_STATES:
        frame.saved.append(copy.copy(frame.state))


@operator("Q")
def _restore(walk: Walk, frame: Frame, _: list[Any]) -> None:
    if frame.saved:
        frame.state = frame.saved.pop()


@operator("cm")
def _concatenate(walk: Walk, frame: Frame, operands: list[Any]) -> None:
    matrix = Matrix(*(float(v) for v in operands[-6:])).then(frame.state.ctm)
    if matrix.is_finite():
        frame.state.ctm = matrix


@operator("w")
def _line_width(walk: Walk, frame: Frame, operands: list[Any]) -> None:
    frame.state.line_width = abs(float(operands[-1]))


@operator("gs")
def _graphics_state(walk: Walk, frame: Frame, operands: list[Any]) -> None:
    setting = frame.resource("/ExtGState", operands[-1])
    state = frame.state
    state.line_width = abs(number(setting.get("/LW"), state.line_width))
    state.fill_alpha = number(setting.get("/ca"), state.fill_alpha)
    state.stroke_alpha = number(setting.get("/CA"), state.stroke_alpha)
    if setting.get("/OP") is not None:
        state.overprints_stroke = bool(setting.get("/OP"))
        state.overprints_fill = bool(setting.get("/op", setting.get("/OP")))
    elif setting.get("/op") is not None:
        state.overprints_fill = bool(setting.get("/op"))
    font = numbers_font(setting.get("/Font"))
    if font:
        state.font, state.font_size = font
    mask = setting.get("/SMask")
    if isinstance(mask, pikepdf.Dictionary) and isinstance(mask.get("/G"), pikepdf.Stream):
        _walk_mask(walk, frame, mask.get("/G"))


def numbers_font(value: Any) -> tuple[Any, float] | None:
    """(font, size) of a graphics state's Font entry."""
    if isinstance(value, pikepdf.Array) and len(value) == 2:
        return value[0], number(value[1], 0.0)
    return None


def _walk_mask(walk: Walk, frame: Frame, group: Any) -> None:
    ctm = form_matrix(group).then(frame.state.ctm)
    key = (group.objgen, *(round(v, 3) for v in ctm))
    if key not in walk.walked_masks:
        walk.walked_masks.add(key)
        walk.form(group, frame, ctm, in_mask=True)
