"""What a caller says is taken apart into words, numbers said in pieces, and days."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickets.folding import fold
from tickets.search.question import read_question

WEDNESDAY = date(2026, 12, 2)


@pytest.mark.parametrize(
    ("asked", "terms"),
    [
        ("where is the order for Otter Bank?", ["otter", "bank"]),
        ("Café-Bär", ["cafe", "bar"]),
        ("the", ["the"]),
        ("OB-1042", ["ob", "1042"]),
        ("+44 1632 960123", ["441632960123"]),
        ("otter (01632) 960 123", ["otter", "01632960123"]),
        ("960123", ["960123"]),
        ("12", ["12"]),
        ("kit@otterbank.example", ["kitotterbankexample"]),
        ("@", []),
        ("   ", []),
        ("otter Otter OTTER", ["otter"]),
    ],
)
def test_a_question_falls_into_words(asked: str, terms: list[str]) -> None:
    """Empty words drop out, digits said in pieces are one number, an address is one word."""
    assert [word.term for word in read_question(asked, WEDNESDAY).words] == terms


@pytest.mark.parametrize(
    ("asked", "day", "terms"),
    [
        ("the navy hoodies for Saturday", date(2026, 12, 5), ["navy", "hoodies"]),
        ("hoodies due Wed", date(2026, 12, 2), ["hoodies"]),
        ("hoodies tomorrow", date(2026, 12, 3), ["hoodies"]),
        ("hoodies 4 Dec", date(2026, 12, 4), ["hoodies"]),
        ("hoodies for January 3rd", date(2027, 1, 3), ["hoodies"]),
        ("2026-12-04", date(2026, 12, 4), []),
        ("Friday", date(2026, 12, 4), []),
    ],
)
def test_days_are_understood(asked: str, day: date, terms: list[str]) -> None:
    """A weekday means the coming one, a day without a year the nearest."""
    question = read_question(asked, WEDNESDAY)
    assert question.days == {day}
    assert [word.term for word in question.words] == terms


@pytest.mark.parametrize("asked", ["31 june", "2026-13-01", "32 dec", "dec", "4"])
def test_what_is_no_day_stays_as_words(asked: str) -> None:
    """Days that no calendar has are left as the words that they are."""
    question = read_question(asked, WEDNESDAY)
    assert not question.days
    assert " ".join(part for word in question.words for part in word.parts or (word.term,)) == fold(asked)


def test_a_number_keeps_its_pieces() -> None:
    """Digits that turn out to be no phone number are looked for one by one."""
    (word,) = read_question("1042 2026", WEDNESDAY).words
    assert word.may_be_phone
    assert word.parts == ("1042", "2026")


@given(st.text(max_size=80))
def test_any_text_can_be_asked(asked: str) -> None:
    """Whatever is typed is taken apart; words are folded, and never empty."""
    question = read_question(asked, WEDNESDAY)
    assert all(word.term and " " not in word.term for word in question.all_words)
