"""How names are made alike before they are compared: case, accents and punctuation fold away."""

from __future__ import annotations

import unicodedata

# Letters that Unicode does not decompose, though callers and their keyboards take them for plain ones.
_PLAIN_LETTERS = str.maketrans({
    "ø": "o", "ł": "l", "đ": "d", "ħ": "h", "ŧ": "t", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i",
})  # fmt: skip
_APOSTROPHES = str.maketrans(dict.fromkeys("'’‘ʼ`´"))  # "Otto's" is said, and typed, as "Ottos"


def fold(text: str) -> str:
    """The words of `text` in a form that compares: "Café-Bär O’Neill" gives "cafe bar oneill".

    Compatibility decomposition (NFKD), then accents, Hebrew points and Arabic vowel marks are dropped, case
    is folded, and everything that is neither letter, number nor vowel sign parts words. Signs that spell a
    word (Devanagari vowels, Thai tone marks) stay. Folding twice changes nothing more.
    """
    bare = _without_accents(text.translate(_APOSTROPHES))
    plain = _without_accents(bare.casefold().translate(_PLAIN_LETTERS)).translate(_APOSTROPHES)
    words = "".join(c if unicodedata.category(c)[0] in "LNM" else " " for c in plain)
    return unicodedata.normalize("NFC", " ".join(words.split()))


def fold_joined(text: str) -> str:
    """The folded words without the gaps: "Otter Bank" and "otterbank" are the same to a caller."""
    return fold(text).replace(" ", "")


def _without_accents(text: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not _is_accent(c))


def _is_accent(character: str) -> bool:
    """Marks round a letter (Unicode combining classes 200 and up), and Hebrew and Arabic points (10–36)."""
    combining = unicodedata.combining(character)
    return combining >= 200 or 10 <= combining <= 36
