"""Operators that show text: fonts, outlined letters, and glyphs that are little drawings of their own."""
# ruff: noqa: ARG001 - every operator is called with the walk, its frame and the operands

from __future__ import annotations

from typing import Any

import pikepdf

from intake.reading.pdf_inks import font_left_out, x_height_of
from intake.reading.pdf_lines import ThinLine
from intake.reading.pdf_matrix import Box, Matrix
from intake.reading.pdf_values import number, numbers, plain_name
from intake.reading.pdf_walk import Frame, State, Walk, operator

_AVERAGE_ADVANCE = 0.5  # of the font size, for the place of a stroked word only
_INVISIBLE = (3, 7)
_STROKED = (1, 2, 5, 6)
_FILLED = (0, 2, 4, 6)


@operator("BT")
def _begin(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.text_at = frame.line_at = Matrix()


@operator("Tf")
def _font(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.font = frame.resource("/Font", o[-2])
    frame.state.font_size = float(o[-1])


@operator("Tr")
def _mode(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.text_mode = int(o[-1])


@operator("Tz")
def _scale(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.text_scale = float(o[-1]) / 100


@operator("TL")
def _leading(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.leading = float(o[-1])


@operator("Ts")
def _rise(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.rise = float(o[-1])


@operator("Tm")
def _place(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.text_at = frame.line_at = Matrix(*(float(v) for v in o[-6:]))


@operator("Td")
def _next_line(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.text_at = frame.line_at = Matrix(e=float(o[-2]), f=float(o[-1])).then(frame.line_at)


@operator("TD")
def _next_line_and_leading(walk: Walk, frame: Frame, o: list[Any]) -> None:
    frame.state.leading = -float(o[-1])
    _next_line(walk, frame, o)


@operator("T*")
def _next_line_by_leading(walk: Walk, frame: Frame, o: list[Any]) -> None:
    _next_line(walk, frame, [0.0, -frame.state.leading])


@operator("Tj")
def _show(walk: Walk, frame: Frame, o: list[Any]) -> None:
    if isinstance(o[-1], bytes):
        _show_codes(walk, frame, o[-1])


@operator("TJ")
def _show_spaced(walk: Walk, frame: Frame, o: list[Any]) -> None:
    parts = o[-1] if isinstance(o[-1], list) else []
    _show_codes(walk, frame, b"".join(part for part in parts if isinstance(part, bytes)))


@operator("'")
def _show_on_next_line(walk: Walk, frame: Frame, o: list[Any]) -> None:
    _next_line_by_leading(walk, frame, [])
    _show(walk, frame, o)


@operator('"')
def _show_spaced_on_next_line(walk: Walk, frame: Frame, o: list[Any]) -> None:
    _show_on_next_line(walk, frame, o)


def _show_codes(walk: Walk, frame: Frame, codes: bytes) -> None:
    state = frame.state
    if not codes or frame.hidden or state.text_mode in _INVISIBLE or state.font is None or frame.in_mask:
        return
    walk.painted.has_other_paint = walk.painted.has_text = True
    if left_out := font_left_out(state.font):
        walk.painted.fonts_left_out.add(left_out)
    if plain_name(state.font.get("/Subtype")) == "Type3":
        _show_drawn_glyphs(walk, frame, codes)
        return
    if _is_filled(state):
        _note_text(walk, frame, codes)
    if state.text_mode in _STROKED and state.stroke_alpha > 0 and not _is_filled(state):
        _stroke_letters(walk, frame, codes)


def _note_text(walk: Walk, frame: Frame, codes: bytes) -> None:
    """How large a piece of text is, through its whole matrix, and about where."""
    placed = _text_matrix(frame)
    walk.painted.add_text(
        placed.stretches()[1], x_height_of(frame.state.font), _word_box(frame, codes), frame.state.clip
    )


def _word_box(frame: Frame, codes: bytes) -> Box:
    wide = 2 if plain_name(frame.state.font.get("/Subtype")) == "Type0" else 1
    return _text_matrix(frame).box_of(0, -0.2, _AVERAGE_ADVANCE * len(codes) / wide, 0.9)


def _is_filled(state: State) -> bool:
    """Filled letters carry the line round them: it only makes them bolder."""
    return state.text_mode in _FILLED and state.fill_alpha > 0


def _text_matrix(frame: Frame) -> Matrix:
    state = frame.state
    size = Matrix(state.font_size * state.text_scale, 0, 0, state.font_size, 0, state.rise)
    return size.then(frame.text_at).then(state.ctm)


def _stroke_letters(walk: Walk, frame: Frame, codes: bytes) -> None:
    """Letters drawn as outlines: their line is the graphics state's under the CTM alone (ISO 32000-1 9.3)."""
    box = _word_box(frame, codes)
    width = frame.state.line_width * frame.state.ctm.stretches()[1]
    walk.painted.add_line(ThinLine(width, "stroke", box, ()), frame.state.clip)


def _show_drawn_glyphs(walk: Walk, frame: Frame, codes: bytes) -> None:
    """Type 3 fonts: each glyph is a content stream (ISO 32000-1 9.6.5); walked once for each size of it."""
    font = frame.state.font
    own = numbers(font.get("/FontMatrix"), 6)
    ctm = (Matrix(*own) if own else Matrix(0.001, 0, 0, 0.001)).then(_text_matrix(frame))
    names, glyphs = _glyph_names(font), font.get("/CharProcs")
    if not isinstance(glyphs, pikepdf.Dictionary):
        return
    resources = font.get("/Resources")
    inner = frame if not isinstance(resources, pikepdf.Dictionary) else _with_resources(frame, resources)
    for code in sorted(set(codes)):
        key = (font.objgen, code, *(round(v, 4) for v in ctm[:4]))
        glyph = glyphs.get("/" + names[code]) if code in names else None
        if key in walk.walked_glyphs or not isinstance(glyph, pikepdf.Stream):
            continue
        walk.walked_glyphs.add(key)
        walk.form(glyph, inner, ctm)


def _with_resources(frame: Frame, resources: Any) -> Frame:
    return Frame(resources, frame.base, frame.state, frame.depth, frame.in_mask)


def _glyph_names(font: Any) -> dict[int, str]:
    encoding = font.get("/Encoding")
    differences = encoding.get("/Differences") if isinstance(encoding, pikepdf.Dictionary) else None
    names: dict[int, str] = {}
    at = 0
    for item in list(differences)[:2000] if isinstance(differences, pikepdf.Array) else []:
        if isinstance(item, pikepdf.Name):
            names[at] = plain_name(item)
            at += 1
        else:
            at = int(number(item, 0))
    return names
