"""Fits a text into a box: narrower, then smaller and on more lines, and last with an ellipsis that shows."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from tickets.paper.fonts import Fonts, Style
from tickets.paper.shaping import Shaped, clusters, is_rtl, shape

MM_A_POINT = 25.4 / 72
LEADING = 1.18  # from one line's base to the next, in sizes, when the ink needs no more
SMALLER = 0.93  # each step of shrinking
ELLIPSIS = "…"
_NARROWEST = 0.12  # ems: hardly a letter is narrower, and there are never many of them
_MOST_CHARACTERS = 4000  # of one text: what is longer is cut before it is set
# A line may end behind these, and between characters of scripts that set no spaces.
_PIECES = re.compile(r"\s+|[^\s\-/_,;·–—]*[\-/_,;·–—]+|[^\s\-/_,;·–—]+")
_NO_SPACES = ("CJK", "HIRAGANA", "KATAKANA", "THAI", "LAO", "KHMER", "MYANMAR")
_THAI_LEADING = "เแโใไ"  # vowels written before their consonant: no line ends behind them
_NOT_FIRST = "。、，．！？）」』】〉》・ーะาๆฯ"  # no line begins with these


@dataclass(frozen=True, slots=True)
class Box:
    """A place on the paper, in mm from its top left corner."""

    x: float
    y: float
    width: float
    height: float

    def inset(self, by: float) -> Box:
        """The box without a margin all round, in mm."""
        return Box(self.x + by, self.y + by, self.width - 2 * by, self.height - 2 * by)


@dataclass(frozen=True, slots=True)
class Fitted:
    """Lines as they are to be drawn. `size` in points; `step_mm` from base line to base line."""

    lines: tuple[Shaped, ...]
    texts: tuple[str, ...]
    size: float
    step_mm: float
    top_mm: float  # from the upper edge of the block to the first base line
    height_mm: float
    rtl: bool
    was_cut: bool

    @property
    def width_mm(self) -> float:
        """The width of the widest line."""
        return max((line.width for line in self.lines), default=0.0) * self.size * MM_A_POINT


@dataclass(frozen=True, slots=True)
class Setting:
    """How a text is to be set: sizes in points, from the one wished for to the smallest that can be read."""

    size: float
    least: float
    style: Style
    most_lines: int = 99


def fit(text: str, box: Box, setting: Setting, fonts: Fonts) -> Fitted:
    """Set a text as large as it goes into a box; what doesn't fit at the least size ends in `…`."""
    text = text[:_MOST_CHARACTERS].strip()
    for attempt in _attempts(setting):
        if _has_room(text, box, setting, attempt, fonts):
            block = _set(text, box, setting, attempt, fonts)
            if block is not None:
                return block
    return _cut(text, box, setting, fonts)


@dataclass(frozen=True, slots=True)
class _Attempt:
    size: float
    style: Style
    breaks_words: bool


def _attempts(setting: Setting) -> Iterator[_Attempt]:
    """First with whole words, from the largest size down; then, not quite so large, with broken ones."""
    for breaks_words in (False, True):
        size = setting.size * (0.8 if breaks_words else 1)
        while size > setting.least:
            yield _Attempt(size, setting.style, breaks_words)
            yield _Attempt(size, setting.style.narrowed(), breaks_words)
            size *= SMALLER
        yield _Attempt(setting.least, setting.style.narrowed(), breaks_words)


def _has_room(text: str, box: Box, setting: Setting, attempt: _Attempt, fonts: Fonts) -> bool:
    """Whether the letters alone, laid end to end, are no longer than all the lines of the box together."""
    point_mm = attempt.size * MM_A_POINT
    lines = 1 + max(0, int((box.height - 0.9 * point_mm) / (LEADING * point_mm)))
    letters = shape("".join(text.split()), fonts, attempt.style).width * point_mm
    return letters <= box.width * min(lines, setting.most_lines) * 1.03 + 1.0


def _set(text: str, box: Box, setting: Setting, attempt: _Attempt, fonts: Fonts) -> Fitted | None:
    width_em = box.width / MM_A_POINT / attempt.size
    lines = wrap(text, width_em, attempt.style, fonts, attempt.breaks_words)
    if lines is None or len(lines) > setting.most_lines:
        return None
    block = _block(lines, text, attempt.size, attempt.style, fonts)
    return block if block.height_mm <= box.height + 0.01 else None


def wrap(text: str, width_em: float, style: Style, fonts: Fonts, breaks_words: bool) -> list[str] | None:
    """The text in lines of at most so many ems; None when a word alone is wider and may not be broken."""
    lines: list[str] = []
    for paragraph in text.splitlines() or [""]:
        broken = _wrap_paragraph(paragraph, width_em, style, fonts, breaks_words)
        if broken is None:
            return None
        lines += broken
    return lines


def _wrap_paragraph(
    paragraph: str, width_em: float, style: Style, fonts: Fonts, breaks_words: bool
) -> list[str] | None:
    lines: list[str] = []
    line, room = "", width_em
    for piece in _pieces(paragraph):
        bare = shape(piece.rstrip(), fonts, style).width
        if bare > room and line:
            lines.append(line.rstrip())
            line, room = "", width_em
        if bare > width_em and not breaks_words:
            return None
        *full, rest = _broken(piece, width_em, style, fonts) if bare > width_em else [piece]
        lines += full
        room -= shape(rest, fonts, style).width if line or rest.strip() else 0.0
        line = (line + rest).lstrip()
    return [*lines, line.rstrip()]


def _pieces(paragraph: str) -> Iterator[str]:
    """Words with the space behind them; of scripts without spaces, each character."""
    words = [m.group() for m in _PIECES.finditer(paragraph)]
    for at, word in enumerate(words):
        if word.isspace() and at:
            continue
        space = words[at + 1] if at + 1 < len(words) and words[at + 1].isspace() else ""
        *before, last = _breakable(word)
        yield from before
        yield last + space


def _breakable(word: str) -> list[str]:
    parts: list[str] = []
    for cluster in clusters(word):
        may_break = _sets_no_spaces(cluster[0]) and parts and _sets_no_spaces(parts[-1][0])
        if parts and (not may_break or parts[-1][-1] in _THAI_LEADING or cluster[0] in _NOT_FIRST):
            parts[-1] += cluster
        else:
            parts.append(cluster)
    return parts or [word]


def _sets_no_spaces(character: str) -> bool:
    return unicodedata.name(character, "").startswith(_NO_SPACES) or character in _NOT_FIRST


def _broken(word: str, width_em: float, style: Style, fonts: Fonts) -> list[str]:
    """A word that is wider than the line, in parts that aren't."""
    parts = [""]
    for cluster in clusters(word):
        if parts[-1] and shape(parts[-1] + cluster, fonts, style).width > width_em:
            parts.append("")
        parts[-1] += cluster
    return parts


def _block(
    lines: list[str], text: str, size: float, style: Style, fonts: Fonts, was_cut: bool = False
) -> Fitted:
    rtl = is_rtl(text)
    shaped = tuple(shape(line, fonts, style, rtl) for line in lines)
    top = max((line.top for line in shaped), default=0)
    bottom = min((line.bottom for line in shaped), default=0)
    point_mm = size * MM_A_POINT
    step = max(LEADING, top - bottom + 0.04) * point_mm
    height = (len(shaped) - 1) * step + (top - bottom) * point_mm
    return Fitted(shaped, tuple(lines), size, step, top * point_mm, height, rtl, was_cut)


def _cut(text: str, box: Box, setting: Setting, fonts: Fonts) -> Fitted:
    """As many lines at the least size as the box holds, one at least, the last ending in an ellipsis."""
    style, size = setting.style.narrowed(), setting.least
    width_em = box.width / MM_A_POINT / size
    most = min(setting.most_lines, 1 + int(box.height / (LEADING * size * MM_A_POINT)))
    looked_at = text[: int(most * width_em / _NARROWEST) + 200]
    lines = wrap(looked_at, width_em, style, fonts, breaks_words=True) or [""]
    whole = len(lines) + (len(looked_at) < len(text))
    lines = lines[: setting.most_lines]
    while len(lines) > 1 and _block(lines, text, size, style, fonts).height_mm > box.height + 0.01:
        lines.pop()
    if len(lines) < whole:
        lines[-1] = _shortened(lines[-1], width_em, style, fonts)
    return _block(lines, text, size, style, fonts, was_cut=len(lines) < whole)


def _shortened(line: str, width_em: float, style: Style, fonts: Fonts) -> str:
    kept = clusters(line)
    while kept and shape("".join(kept) + ELLIPSIS, fonts, style).width > width_em:
        kept.pop()
    return "".join(kept).rstrip() + ELLIPSIS
