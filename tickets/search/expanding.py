"""What a caller's word may stand for in the books: itself, what it begins, what it was misspelt from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from itertools import pairwise

from tickets.search.question import LEAST_PHONE_DIGITS, Word
from tickets.search.reading import PREFIX, SearchIndex
from tickets.search.slips import likeness, numbers_near, one_slip_from

Alternatives = dict[
    str, float
]  # term (with PREFIX behind it: all that begin so) → how like it is what was said

BEGUN, PART_OF, NUMBER_BEGUN = 0.95, 0.85, 0.9
_LEAST_BEGINNING, _LEAST_PART, _LEAST_NUMBER_BEGINNING = 2, 4, 3  # letters, digits
_MOST_BEGUN, _MOST_PHONES = 40, 50
_MOST_ALTERNATIVES = 24


class Forgiving(IntEnum):
    """In which words slips are forgiven; the others stand as they are, or for what they begin."""

    NONE = 0
    UNKNOWN = 1  # those that are in none of the books
    ALL = 2


@dataclass(slots=True)
class Expander:
    """Asks one database's vocabulary once for each word, and keeps the answers for one question."""

    index: SearchIndex
    _known: dict[str, bool] = field(default_factory=dict)
    _kept: dict[tuple[str, bool], Alternatives] = field(default_factory=dict)
    _slips_of: dict[str, Alternatives] = field(default_factory=dict)

    def expand(self, words: Sequence[Word], forgiving: Forgiving) -> list[Alternatives]:
        """The alternatives of each word; empty where nothing in the books comes near."""
        pairs = [a.term + b.term for a, b in pairwise(words)]
        self._look_up([form for word in words for form in (word.term, word.term.removesuffix("s"))] + pairs)
        forgiven = [forgiving is Forgiving.ALL or (bool(forgiving) and self._is_unknown(w)) for w in words]
        groups = [dict(self._word(word, slips)) for word, slips in zip(words, forgiven, strict=True)]
        for at, pair in enumerate(pairs):
            # "otter bank" may be written as one word in the books; then one word answers both.
            needs_slips = any(forgiven[at : at + 2]) and not all(groups[at : at + 2])
            for term, like in self._pair(pair, needs_slips).items():
                for group in groups[at : at + 2]:
                    group[term] = max(like, group.get(term, 0.0))
        return groups

    def phones(self, digits: str) -> Alternatives:
        """Phone numbers in the books that hold these digits.

        The 0 of a national number gives way to a country's code where numbers are written with theirs.
        """
        for said in dict.fromkeys((digits, digits.lstrip("0"))):
            held = self.index.words_with(said, _MOST_PHONES) if len(said) >= LEAST_PHONE_DIGITS else []
            if numbers := {number: 1.0 for number in held if number.isdecimal()}:
                return numbers
        return {}

    def near_words(self, word: str, most: int) -> list[str]:
        """Words of the books that come nearest to one that is in none of them, nearest first."""
        found = self.index.words_like(word) | self.index.known(one_slip_from(word))
        return sorted(found, key=lambda other: (-_rough_likeness(other, word), other))[:most]

    def _is_unknown(self, word: Word) -> bool:
        return not word.has_digit and not self._known.get(word.term)

    def _look_up(self, terms: list[str]) -> None:
        unasked = [term for term in terms if term not in self._known]
        known = self.index.known(unasked)
        self._known.update({term: term in known for term in unasked})

    def _word(self, word: Word, forgiving: bool) -> Alternatives:
        key = (word.term, forgiving)
        if key not in self._kept:
            self._kept[key] = self._forgiving(word) if forgiving else self._plain(word)
        return self._kept[key]

    def _plain(self, word: Word) -> Alternatives:
        if word.may_be_phone:
            numbers = self.phones(word.term)
            if len(word.parts) == 1:
                numbers |= _number(word.parts[0]) | _number(word.term)
            return numbers
        if word.has_digit:
            return _number(word.term)
        if self._known.get(word.term):
            return {word.term: 1.0}
        one = word.term.removesuffix("s")
        return ({one: BEGUN} if self._known.get(one) else {}) | self._begun(word.term)

    def _begun(self, term: str) -> Alternatives:
        if len(term) < _LEAST_BEGINNING:
            return {term: 1.0}
        return dict.fromkeys(self.index.words_from(term, _MOST_BEGUN), BEGUN)

    def _forgiving(self, word: Word) -> Alternatives:
        found = dict(self._word(word, False))
        if word.has_digit:
            number = word.parts[0] if len(word.parts) == 1 else word.term
            return numbers_near(number) | found
        near = self._slips(word.term) | self._begun(word.term) | found
        if len(word.term) >= _LEAST_PART:
            near = dict.fromkeys(self.index.words_with(word.term, _MOST_BEGUN), PART_OF) | near
        best = sorted(near.items(), key=lambda n: (-n[1], n[0]))[:_MOST_ALTERNATIVES]
        return dict(best)

    def _slips(self, term: str) -> Alternatives:
        # One slip is looked up in the index of words, letter by letter; more are looked for only without.
        candidates = self.index.known(one_slip_from(term)) or self.index.words_like(term)
        scored = {candidate: likeness(candidate, term) for candidate in candidates}
        return {candidate: like for candidate, like in scored.items() if like}

    def _pair(self, pair: str, forgiving: bool) -> Alternatives:
        if self._known.get(pair):
            return {pair: 1.0}
        if pair not in self._slips_of and forgiving:
            self._slips_of[pair] = self._slips(pair)
        return self._slips_of.get(pair, {}) if forgiving else {}


def _number(term: str) -> Alternatives:
    begun = {term + PREFIX: NUMBER_BEGUN} if len(term) >= _LEAST_NUMBER_BEGINNING else {}
    return {term: 1.0, **begun}


def _rough_likeness(one: str, other: str) -> float:
    from rapidfuzz import fuzz

    return fuzz.ratio(one, other) + (5 if one[:1] == other[:1] else 0)
