"""What a caller asks, taken apart: the words to look for, the numbers said in pieces, and the days meant."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, timedelta

from tickets.folding import fold, fold_joined
from tickets.search.terms import has_digit

LEAST_PHONE_DIGITS = 4  # half a number; fewer digits are in nearly every number
_LETTERS_OF_NUMBERS = 3  # before the digits of an order's number, as in OB-1042
MOST_WORDS = 8  # of a question: more are a story, and the first of them name the order
LONGEST_QUESTION = 400  # letters

# Words that say nothing about which order is meant (English; common sense, no source).
_SAYS_NOTHING = """
    a about an and are at by due for from has have hello hi in is it its job jobs me mine my of on order
    orders our please ready s that the their them there these they this those to us was we were what when
    where which who with you your
"""
_EMPTY_WORDS = frozenset(_SAYS_NOTHING.split())
_DAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_WEEKDAYS = {
    written: number
    for number, name in enumerate(_DAY_NAMES)
    for written in (name, name[:3], name[:4], name[:5])
}
_MONTHS = {
    written: number
    for number, name in enumerate(
        (
            *("january", "february", "march", "april", "may", "june", "july"),
            *("august", "september", "october", "november", "december"),
        ),
        1,
    )
    for written in (name, name[:3], name[:4])
}
_SPOKEN_DAY = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?")
_PHONE_PIECE = re.compile(r"[+(]?[\d()/.\-]*\d[\d()/.\-]*")


@dataclass(frozen=True, slots=True)
class Word:
    """One thing to look for: a folded word, or digits that may be part of a phone number.

    `parts` are what it falls into when it is no phone number: "01632 960123" was said in two pieces.
    """

    term: str
    parts: tuple[str, ...] = ()
    may_be_phone: bool = False

    @property
    def has_digit(self) -> bool:
        """Numbers are found as they are or not at all; names are forgiven."""
        return has_digit(self.term)


@dataclass(frozen=True, slots=True)
class Question:
    """What was asked. `days` are the due days that were meant, `day_words` how they were said."""

    asked: str
    joined: str  # all of it as one folded term: how a number is compared
    wholes: frozenset[str]  # every stretch of it joined likewise: may be a whole field
    words: tuple[Word, ...]
    day_words: tuple[Word, ...] = ()
    days: frozenset[date] = field(default=frozenset())

    @property
    def is_number(self) -> bool:
        """Whether nothing but a number was said, with a few letters perhaps: such a one is not guessed at."""
        short = all(word.has_digit or len(word.term) <= _LETTERS_OF_NUMBERS for word in self.words)
        return short and any(word.has_digit for word in self.words)

    @property
    def all_words(self) -> tuple[Word, ...]:
        """The words and those of the days too: "Friday" may be in a name."""
        return (*self.words, *self.day_words)


def read_question(asked: str, today: date) -> Question:
    """Take a question apart. Words like "the" and "for" are dropped unless there is nothing else."""
    asked = " ".join(plain_text(asked).split())[:LONGEST_QUESTION]
    chunks = asked.split(" ") if asked else []
    rest, day_chunks, days = _pick_days(chunks, today)
    words = _words(rest)
    telling = [word for word in words if word.term not in _EMPTY_WORDS]
    return Question(
        asked=asked,
        joined=fold_joined(asked),
        wholes=_wholes([fold_joined(chunk) for chunk in chunks]),
        words=tuple((telling or ([] if days else words))[:MOST_WORDS]),
        day_words=tuple(_words(day_chunks)),
        days=frozenset(days),
    )


def plain_text(typed: str) -> str:
    """What was typed, with a sign in place of all that no database takes: undecodable bytes and zeros."""
    return typed.encode("utf-8", "replace").decode().replace("\0", "?")


def _wholes(joined: list[str]) -> frozenset[str]:
    ends = range(1, len(joined) + 1)
    stretches = ("".join(joined[start:end]) for end in ends for start in range(max(0, end - MOST_WORDS), end))
    return frozenset(stretches) - {""}


def _words(chunks: list[str]) -> list[Word]:
    words: list[Word] = []
    at = 0
    while at < len(chunks):
        run = _phone_run(chunks, at)
        if run:
            words.append(_phone_word(run))
            at += len(run)
            continue
        words += _plain_words(chunks[at])
        at += 1
    unique: dict[str, Word] = {}
    for word in words:
        unique.setdefault(word.term, word)
    return list(unique.values())


def _plain_words(chunk: str) -> list[Word]:
    if "@" in chunk.strip("@"):
        return [Word(fold_joined(chunk))] if fold_joined(chunk) else []
    return [Word(term) for term in fold(chunk).split()]


def _phone_run(chunks: list[str], at: int) -> list[str]:
    """The chunks from here on that are digits and signs, when they add up to half a number."""
    end = at
    while end < len(chunks) and _PHONE_PIECE.fullmatch(chunks[end]):
        end += 1
    run = chunks[at:end]
    return run if len(_digits(run)) >= LEAST_PHONE_DIGITS else []


def _phone_word(run: list[str]) -> Word:
    parts = tuple(part for chunk in run for part in fold(chunk).split())
    return Word(_digits(run), parts, may_be_phone=True)


def _digits(run: list[str]) -> str:
    return "".join(str(int(c)) for chunk in run for c in chunk if c.isdecimal())


def _pick_days(chunks: list[str], today: date) -> tuple[list[str], list[str], set[date]]:
    """The chunks without those that name a day, those chunks, and the days."""
    rest: list[str] = []
    taken: list[str] = []
    days: set[date] = set()
    at = 0
    while at < len(chunks):
        length, day = _day_at(chunks, at, today)
        if day is None:
            rest.append(chunks[at])
            at += 1
            continue
        days.add(day)
        taken += chunks[at : at + length]
        at += length
    return rest, taken, days


def _day_at(chunks: list[str], at: int, today: date) -> tuple[int, date | None]:
    """How many chunks from here name a day, and which; (1, None) when none do."""
    word, following = (chunks[i].strip(",.;?!").casefold() if i < len(chunks) else "" for i in (at, at + 1))
    if word in ("today", "tomorrow"):
        return 1, today + timedelta(days=word == "tomorrow")
    if word in _WEEKDAYS:
        return 1, today + timedelta(days=(_WEEKDAYS[word] - today.weekday()) % 7)
    for spoken, month in ((word, following), (following, word)):
        number = _SPOKEN_DAY.fullmatch(spoken)
        if number and month in _MONTHS:
            return 2, _nearest_year(_MONTHS[month], int(number[1]), today)
    return 1, _written_day(word)


def _written_day(word: str) -> date | None:
    try:
        return date.fromisoformat(word) if len(word) == len("2026-12-04") else None
    except ValueError:
        return None


def _nearest_year(month: int, day: int, today: date) -> date | None:
    """The day of that month that is nearest to today; None for the 31st of June."""
    days = []
    for year in (today.year - 1, today.year, today.year + 1):
        try:
            days.append(date(year, month, day))
        except ValueError:
            continue
    return min(days, key=lambda d: abs(d - today), default=None)
