"""Names that a caller would call the same fold to the same."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickets.folding import fold, fold_joined


@pytest.mark.parametrize(
    ("written", "folded"),
    [
        ("Otter Bank Rowing Club", "otter bank rowing club"),
        ("Café-Bär  O’Neill", "cafe bar oneill"),
        ("STRASSE", fold("Straße")),
        ("ＦＵＬＬ Ｗｉｄｔｈ", "full width"),
        ("Łódź Øre Æon", "lodz ore aeon"),
        ("Ёлка", "елка"),
        ("Άνεμος", "ανεμοσ"),
        ("שָׁלוֹם", "שלום"),
        ("crest_final.PNG", "crest final png"),
        ("  \t ", ""),
    ],
)
def test_folding_drops_what_callers_do_not_say(written: str, folded: str) -> None:
    """Case, accents, width, points and punctuation make no difference."""
    assert fold(written) == folded


@pytest.mark.parametrize(("one", "other"), [("कि", "का"), ("หมา", "หม่า"), ("한", "하")])
def test_signs_that_spell_a_word_stay(one: str, other: str) -> None:
    """Vowel signs, tone marks and finals keep words of such scripts apart."""
    assert fold(one) != fold(other)


@given(st.text(max_size=40))
def test_folding_twice_changes_nothing(text: str) -> None:
    """A folded text is its own folding, so a stored one and a typed one meet."""
    assert fold(fold(text)) == fold(text)


@given(st.text(max_size=40))
def test_decomposed_text_folds_as_composed(text: str) -> None:
    """macOS hands names over decomposed, everybody else composed: both fold to the same."""
    assert fold(unicodedata.normalize("NFD", text)) == fold(unicodedata.normalize("NFC", text))


def test_joined_words_are_found_either_way() -> None:
    """A caller may say a name in one word."""
    assert fold_joined("Otter Bank") == "otterbank"
