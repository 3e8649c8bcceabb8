"""Operators that build and paint paths, paint images and forms, and choose colours."""
# ruff: noqa: ARG001 - every operator is called with the walk, its frame and the operands

from __future__ import annotations

from typing import Any

import pikepdf

from intake.reading.pdf_images import source_of
from intake.reading.pdf_lines import Path, stroke_of, thin_fills
from intake.reading.pdf_painted import ImageSource
from intake.reading.pdf_tokens import InlineImage, Name
from intake.reading.pdf_values import number, plain_name
from intake.reading.pdf_walk import Frame, Walk, form_matrix, operator

# Fills thicker than this share of the page's longer side are never lines, at whatever size it is printed.
_THICKEST_SHARE = 0.03


@operator("m")
def _move(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.path.move(float(o[-2]), float(o[-1]))


@operator("l")
def _line(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.path.line(float(o[-2]), float(o[-1]))


@operator("c")
def _curve(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.path.curve(*(float(v) for v in o[-6:]))


@operator("v")
def _curve_from_here(walk: Walk, frame: Frame, o: list[Any]) -> None:
    x2, y2, x3, y3 = (float(v) for v in o[-4:])
    x0, y0 = frame.path.current or (x2, y2)
    frame.path.curve(x0, y0, x2, y2, x3, y3)


@operator("y")
def _curve_to_end(walk: Walk, frame: Frame, o: list[Any]) -> None:
    x1, y1, x3, y3 = (float(v) for v in o[-4:])
    frame.path.curve(x1, y1, x3, y3, x3, y3)


@operator("h")
def _close(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.path.close()


@operator("re")
def _rectangle(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.path.rectangle(*(float(v) for v in o[-4:]))


@operator("W", "W*")
def _clip(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.clips = True


def _finish(walk: Walk, frame: Frame, *, strokes: bool, fills: bool) -> None:
    """Paint the path, let it clip if it should, and begin a new one."""
    path, state = frame.path, frame.state
    frame.path = Path()
    if not frame.hidden and not frame.in_mask and path.subpaths:
        if fills and state.fill_alpha > 0:
            _fill(walk, frame, path)
        if strokes and state.stroke_alpha > 0:
            _stroke(walk, frame, path)
    if frame.clips:
        frame.clips = False
        box = path.box(state.ctm)
        if box is not None:
            state.clip = state.clip.cut(box)


def _fill(walk: Walk, frame: Frame, path: Path) -> None:
    state = frame.state
    box = path.box(state.ctm)
    if box is None or box.cut(state.clip).is_empty():
        return
    walk.painted.has_other_paint = True
    walk.painted.overprints |= state.overprints_fill
    if state.fill_pattern is not None:
        walk.paint_pattern(frame, state.fill_pattern)
    thickest = _THICKEST_SHARE * max(walk.sheet.width_pt, walk.sheet.height_pt)
    for line in thin_fills(path, state.ctm, thickest):
        walk.painted.add_line(line, state.clip)


def _stroke(walk: Walk, frame: Frame, path: Path) -> None:
    state = frame.state
    line = stroke_of(path, state.line_width, state.ctm, walk.painted.thickest_kept)
    if line is None or line.box.cut(state.clip).is_empty():
        return
    walk.painted.has_other_paint = True
    walk.painted.overprints |= state.overprints_stroke
    if state.stroke_pattern is not None:
        walk.paint_pattern(frame, state.stroke_pattern)
    walk.painted.add_line(line, state.clip)


@operator("S")
def _paint_stroke(walk: Walk, frame: Frame, o: list[Any]) -> None:
    _finish(walk, frame, strokes=True, fills=False)


@operator("s")
def _close_and_stroke(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.path.close()
    _finish(walk, frame, strokes=True, fills=False)


@operator("f", "F", "f*")
def _paint_fill(walk: Walk, frame: Frame, o: list[Any]) -> None:
    _finish(walk, frame, strokes=False, fills=True)


@operator("B", "B*")
def _paint_both(walk: Walk, frame: Frame, o: list[Any]) -> None:
    _finish(walk, frame, strokes=True, fills=True)


@operator("b", "b*")
def _close_and_paint_both(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.path.close()
    _finish(walk, frame, strokes=True, fills=True)


@operator("n")
def _paint_nothing(walk: Walk, frame: Frame, o: list[Any]) -> None:
    _finish(walk, frame, strokes=False, fills=False)


@operator("sh")
def _shade(walk: Walk, frame: Frame, o: list[Any]) -> None:
    if not frame.hidden:
        walk.painted.has_other_paint = True
        shading = frame.resource("/Shading", o[-1])
        walk.note_space(shading.get("/ColorSpace"))


@operator("Do")
def _paint_object(walk: Walk, frame: Frame, o: list[Any]) -> None:
    thing = frame.resource("/XObject", o[-1])
    if frame.hidden or not isinstance(thing, pikepdf.Stream) or walk.layers.is_hidden(thing.get("/OC")):
        return
    if plain_name(thing.get("/Subtype")) == "Image":
        _image(walk, frame, thing)
    elif plain_name(thing.get("/Subtype")) == "Form" or thing.get("/BBox") is not None:
        walk.form(thing, frame, form_matrix(thing).then(frame.state.ctm))


def _image(walk: Walk, frame: Frame, image: Any) -> None:
    is_stencil = image.get("/ImageMask") is True
    if frame.state.fill_alpha <= 0:
        return
    source = source_of(image)
    shown = walk.paint_image(frame, source, "stencil" if is_stencil else "image")
    if shown is None:
        return
    if is_stencil and frame.state.fill_pattern is not None:
        walk.paint_pattern(frame, frame.state.fill_pattern)
    walk.note_space(image.get("/ColorSpace"))
    walk.painted.overprints |= frame.state.overprints_fill
    for key, kind in (("/SMask", "soft mask"), ("/Mask", "stencil")):
        mask = image.get(key)
        if isinstance(mask, pikepdf.Stream) and (its := source_of(mask)).pixels != source.pixels:
            walk.painted.add_image(its, frame.state.ctm, kind, shown)


@operator("BI")
def _inline(walk: Walk, frame: Frame, o: list[Any]) -> None:
    image = o[0]
    if frame.hidden or not isinstance(image, InlineImage) or frame.state.fill_alpha <= 0:
        return
    pixels = int(number(image.get("W", "Width"), 0)), int(number(image.get("H", "Height"), 0))
    filters = image.get("F", "Filter")
    names = tuple(str(name) for name in (filters if isinstance(filters, list) else [filters]) if name)
    is_stencil = image.get("IM", "ImageMask") is True
    source = ImageSource(pixels, names, is_plain=pixels == (1, 1))
    walk.paint_image(frame, source, "stencil" if is_stencil else "inline")
    space = image.get("CS", "ColorSpace")
    if isinstance(space, Name):
        _named_space(walk, frame, space)


def _named_space(walk: Walk, frame: Frame, name: object) -> Any:
    space = frame.resource("/ColorSpace", name)
    space = space if space is not None else pikepdf.Name("/" + str(name)) if name else None
    walk.note_space(space)
    return space


@operator("cs")
def _fill_space(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.fill_pattern = None
    _named_space(walk, frame, o[-1])


@operator("CS")
def _stroke_space(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.stroke_pattern = None
    _named_space(walk, frame, o[-1])


@operator("scn")
def _fill_colour(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.fill_pattern = frame.resource("/Pattern", o[-1]) if isinstance(o[-1], Name) else None


@operator("SCN")
def _stroke_colour(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.stroke_pattern = frame.resource("/Pattern", o[-1]) if isinstance(o[-1], Name) else None


def _plain_colour(names: tuple[str, str], ink: str) -> None:
    """Register g/G, rg/RG and k/K: they end a pattern and name their ink."""

    def fills(walk: Walk, frame: Frame, o: list[Any]) -> None:
        frame.state.fill_pattern = None
        walk.painted.inks.add(ink)

    def strokes(walk: Walk, frame: Frame, o: list[Any]) -> None:
        frame.state.stroke_pattern = None
        walk.painted.inks.add(ink)

    operator(names[0])(fills)
    operator(names[1])(strokes)


_plain_colour(("g", "G"), "grey")
_plain_colour(("rg", "RG"), "RGB")
_plain_colour(("k", "K"), "CMYK")


@operator("BDC")
def _begin_marked(walk: Walk, frame: Frame, o: list[Any]) -> None:
    hides = False
    if len(o) >= 2 and o[-2] == "OC" and isinstance(o[-1], Name):
        hides = walk.layers.is_hidden(frame.resource("/Properties", o[-1]))
    frame.marks.append(hides)
    frame.hidden += hides


@operator("BMC")
def _begin_plain_mark(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.marks.append(False)


@operator("EMC")
def _end_marked(walk: Walk, frame: Frame, o: list[Any]) -> None:
    if frame.marks:
        frame.hidden -= frame.marks.pop()
