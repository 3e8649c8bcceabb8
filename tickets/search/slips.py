"""Typing slips: what a word or a number may have been meant to be."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

_DIGITS = "0123456789"
_LATIN = "abcdefghijklmnopqrstuvwxyz"
_LOOK_ALIKE = str.maketrans("oil", "011")  # as in ticket codes: a typed O, I or L is a 0, 1, 1
_SCRIPT_BLOCK = 128  # letters of one script lie near each other in Unicode
_MOST_LETTERS = 80  # a script of more is written by syllables or signs, where one wrong tells nothing


def slips_allowed(word: str) -> int:
    """How many slips are forgiven in a word of so many letters (common sense; `bench find` measures it)."""
    return next((slips for longest, slips in ((2, 0), (5, 1), (9, 2)) if len(word) <= longest), 3)


def likeness(meant: str, said: str) -> float:
    """How like two words are, 0 to 1; a wrong, missing, extra or swapped letter is a slip. 0: too many."""
    from rapidfuzz.distance import OSA  # here: most questions hold no slip

    most = slips_allowed(said)
    slips = OSA.distance(meant, said, score_cutoff=most)
    if slips > most:
        return 0.0
    kept = 1 - slips / max(len(meant), len(said))
    # People mostly get the beginning of a word right: of two words as near, the one that begins so.
    return kept * (1.0 if meant[:1] == said[:1] else 0.95)


def one_slip_from(word: str) -> set[str]:
    """Every text that is one slip away from a word: swapped, missing, wrong or extra letters."""
    letters = _letters_of(word)
    cuts = [(word[:i], word[i:]) for i in range(len(word) + 1)]
    swapped = {a + b[1] + b[0] + b[2:] for a, b in cuts if len(b) > 1}
    missing = {a + b[1:] for a, b in cuts if b}
    wrong = {a + c + b[1:] for a, b in cuts if b for c in letters}
    extra = {a + c + b for a, b in cuts for c in letters}
    return (swapped | missing | wrong | extra) - {word, ""}


def numbers_near(number: str) -> dict[str, float]:
    """Numbers that a folded number may have been meant to be, each with how like it is.

    Digits stay digits and letters letters, but for look-alikes: those are as good as right.
    """
    near: dict[str, float] = {}
    cuts = [(number[:i], number[i:]) for i in range(len(number) + 1)]
    near.update(dict.fromkeys((a + c + b for a, b in cuts for c in _DIGITS), 0.8))
    near.update(dict.fromkeys((a + b[1:] for a, b in cuts if b), 0.8))
    near.update(dict.fromkeys((a + c + b[1:] for a, b in cuts if b for c in _kin(b[0])), 0.85))
    near.update(dict.fromkeys((a + b[1] + b[0] + b[2:] for a, b in cuts if len(b) > 1), 0.9))
    near.update(dict.fromkeys(_look_alikes(number), 1.0))
    for same in (number, ""):
        near.pop(same, None)
    return near


def _look_alikes(number: str) -> Iterator[str]:
    """The number with letters that look like digits read as such: all behind the first digit, or all."""
    first = next((i for i, c in enumerate(number) if c in _DIGITS), len(number))
    yield number[:first] + number[first:].translate(_LOOK_ALIKE)
    yield number.translate(_LOOK_ALIKE)


def _kin(character: str) -> str:
    return _DIGITS if character in _DIGITS else _LATIN


def _letters_of(word: str) -> str:
    if word.isascii():
        return _LATIN
    letters = {c for start in {ord(c) // _SCRIPT_BLOCK for c in word} for c in _block(start)}
    return "".join(sorted(letters)) if len(letters) <= _MOST_LETTERS else ""


def _block(number: int) -> Iterator[str]:
    start = number * _SCRIPT_BLOCK
    for code in range(start, start + _SCRIPT_BLOCK):
        character = chr(code)
        is_plain = unicodedata.category(character) in ("Ll", "Lo") and character.casefold() == character
        if is_plain and unicodedata.normalize("NFKD", character) == character:
            yield character
