"""From characters to placed glyphs: direction, faces, joining and marks; lengths in ems, for any size."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import uharfbuzz as hb
from bidi import algorithm

from tickets.paper.fonts import Face, Fonts, Style, is_control, is_unseen

BOX_EM = 0.9  # width of the box that stands for a character without a face
_VIRAMA_CLASS = 9  # canonical combining class of the signs that join Indic consonants (Unicode)


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph at its place in its run, in ems. `text`: what it stands for; empty inside a cluster."""

    gid: int
    x: float
    y: float
    advance: float
    text: str


@dataclass(frozen=True, slots=True)
class Run:
    """Glyphs of one face, or a box for what no face has (`face` None). `text` in reading order."""

    face: Face | None
    style: Style
    x: float
    width: float
    glyphs: tuple[Glyph, ...]
    text: str
    is_rtl: bool


@dataclass(frozen=True, slots=True)
class Shaped:
    """One line, left to right as it is seen, in ems; `top`, `bottom`: of the ink over the base line."""

    runs: tuple[Run, ...]
    width: float
    top: float
    bottom: float
    missing: frozenset[str]


def is_rtl(text: str) -> bool:
    """Whether a paragraph runs from right to left: by its first strong character (UAX 9, P2 and P3)."""
    for character in text:
        kind = unicodedata.bidirectional(character)
        if kind in ("L", "R", "AL"):
            return kind != "L"
    return False


def clusters(text: str) -> list[str]:
    """What a reader sees as one character each: letters with their marks, Indic conjuncts, joined emoji."""
    found: list[str] = []
    for character in text:
        joins = unicodedata.category(character).startswith("M") or is_unseen(character)
        # Thai's SARA AM is written as a letter and belongs to the consonant before it.
        joins = joins or character in "\u0e33\u0eb3" or 0x1F3FB <= ord(character) <= 0x1F3FF
        if found and (joins or _links(found[-1])) and not is_control(character):
            found[-1] += character
        else:
            found.append(character)
    return found


def _links(cluster: str) -> bool:
    last = cluster[-1]
    return last == "\u200d" or (unicodedata.combining(last) == _VIRAMA_CLASS and last != "\u0e3a")


@lru_cache(maxsize=512)  # labels come again; names and numbers of orders hardly do
def shape(text: str, fonts: Fonts, style: Style, rtl: bool = False) -> Shaped:
    """Shape one line of text; `rtl` is the direction of the paragraph that it belongs to."""
    runs: list[Run] = []
    missing: set[str] = set()
    at = 0.0
    for piece, face, backwards in _in_sight_order(text, fonts, rtl):
        run = _boxed(piece, style, at) if face is None else _shaped(piece, face, style, backwards, at)
        missing |= {c for c in piece if not is_unseen(c)} if face is None else _undrawn(run)
        runs.append(run)
        at += run.width
    top, bottom = _ink(runs)
    return Shaped(tuple(runs), at, top, bottom, frozenset(missing))


def _in_sight_order(text: str, fonts: Fonts, rtl: bool) -> Iterator[tuple[str, Face | None, bool]]:
    """Stretches of one face and one level, in the order in which the eye meets them (UAX 9, L2)."""
    text = "".join(" " if c.isspace() else c for c in text)
    levels = embedding_levels(text, rtl)
    stretches: list[tuple[str, Face | None, int]] = []
    start = 0
    face: Face | None = None
    for cluster in clusters(text):
        level = levels[start]
        start += len(cluster)
        face = None if is_control(cluster[0]) else fonts.face_for(cluster, face)
        goes_on = bool(stretches) and face is not None and stretches[-1][1:] == (face, level)
        if goes_on:
            stretches[-1] = (stretches[-1][0] + cluster, face, level)
        else:
            stretches.append((cluster, face, level))
    for level in range(max(levels, default=0), 0, -1):
        stretches = _turn(stretches, level)
    for piece, of_face, level in stretches:
        yield piece, of_face, level % 2 == 1


def _turn(stretches: list[tuple[str, Face | None, int]], level: int) -> list[tuple[str, Face | None, int]]:
    turned: list[tuple[str, Face | None, int]] = []
    behind: list[tuple[str, Face | None, int]] = []
    for stretch in stretches:
        if stretch[2] >= level:
            behind.insert(0, stretch)
        else:
            turned += [*behind, stretch]
            behind = []
    return turned + behind


def embedding_levels(text: str, rtl: bool) -> list[int]:
    """The embedding level of each character, even from left to right, odd from right to left (UAX 9)."""
    if not rtl and all(unicodedata.bidirectional(c) not in ("R", "AL", "AN", "RLE", "RLO") for c in text):
        return [0] * len(text)
    text = "".join(map(_known_to_bidi, text))
    storage = algorithm.get_empty_storage()
    storage["base_level"] = int(rtl)
    storage["base_dir"] = "LR"[rtl]
    algorithm.get_embedding_levels(text, storage)
    for at, entry in enumerate(storage["chars"]):
        entry["at"] = at
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage)
    algorithm.resolve_neutral_types(storage, False)
    algorithm.resolve_implicit_levels(storage, False)
    levels = [-1] * len(text)
    for entry in storage["chars"]:
        levels[entry["at"]] = entry["level"]
    for at, level in enumerate(levels):  # direction marks have no level of their own: that of what is before
        if level < 0:
            levels[at] = levels[at - 1] if at else int(rtl)
    return levels


def _known_to_bidi(character: str) -> str:
    """A stand-in of the same direction for what the algorithm doesn't know: newer letters, isolates."""
    kind = unicodedata.bidirectional(character)
    if kind in ("LRI", "RLI", "FSI", "PDI"):
        return "\u200b"
    if kind:
        return character
    code = ord(character)  # not assigned yet: the direction that its block is set aside for (UAX 9, 3.2)
    runs_left = 0x0590 <= code <= 0x08FF or 0xFB1D <= code <= 0xFEFC or 0x10800 <= code <= 0x10FFF
    return "א" if runs_left or 0x1E800 <= code <= 0x1EFFF else "a"


def _shaped(text: str, face: Face, style: Style, backwards: bool, at: float) -> Run:
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.direction = "rtl" if backwards else "ltr"
    buffer.guess_segment_properties()
    hb.shape(face.font(style), buffer)
    em = face.hb_face.upem
    meanings = _meanings(buffer, text, backwards)
    glyphs: list[Glyph] = []
    x = 0.0
    for number, (info, position) in enumerate(zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)):
        left, height = x + position.x_offset / em, position.y_offset / em
        advance = position.x_advance / em
        glyphs.append(Glyph(info.codepoint, left, height, advance, meanings.get(number, "")))
        x += advance
    return Run(face, style, at, x, tuple(glyphs), text, backwards)


def _meanings(buffer: hb.Buffer, text: str, backwards: bool) -> dict[int, str]:
    """For each cluster the glyph that stands for it, and the text.

    From left to right that is its first one. From right to left it is the widest, which the marks belong to;
    its text is turned and its brackets mirrored, for readers turn line and brackets once more.
    """
    starts = sorted({info.cluster for info in buffer.glyph_infos})
    ends = dict(zip(starts, [*starts[1:], len(text)], strict=True))
    of_cluster: dict[int, list[int]] = {}
    for number, info in enumerate(buffer.glyph_infos):
        of_cluster.setdefault(info.cluster, []).append(number)
    meanings = {}
    for start, numbers in of_cluster.items():
        said = text[start : ends[start]]
        if backwards:
            said = "".join(algorithm.MIRRORED.get(c, c) for c in reversed(said))
            numbers.sort(key=lambda number: -buffer.glyph_positions[number].x_advance)
        meanings[numbers[0]] = said
    return meanings


def _boxed(text: str, style: Style, at: float) -> Run:
    return Run(None, style, at, BOX_EM, (), text, False)


def _undrawn(run: Run) -> set[str]:
    """Characters for which the face gave its empty box after all: a mark that none of the faces has."""
    return {c for glyph in run.glyphs if glyph.gid == 0 for c in glyph.text if not is_unseen(c)}


def _ink(runs: list[Run]) -> tuple[float, float]:
    """How far the ink reaches over and under the base line: never less than capitals and descenders."""
    top, bottom = 0.74, -0.22
    for run in runs:
        if run.face is None:
            continue
        font, em = run.face.font(run.style), run.face.hb_face.upem
        for glyph in run.glyphs:
            extents = font.get_glyph_extents(glyph.gid)
            if extents is not None:
                high = glyph.y + extents.y_bearing / em
                top, bottom = max(top, high), min(bottom, high + extents.height / em)
    return top, bottom
