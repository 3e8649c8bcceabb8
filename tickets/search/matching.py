"""From a question to orders, best first: as it stands, then with slips forgiven, then with words left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import IntEnum
from itertools import combinations, pairwise
from zoneinfo import ZoneInfo

from tickets.search.expanding import Alternatives, Expander, Forgiving
from tickets.search.question import Question, Word
from tickets.search.reading import PREFIX, Hit, SearchIndex
from tickets.search.slips import numbers_near
from tickets.search.terms import Line

_MOST_LIVE, _MOST_FINISHED = 300, 100  # looked at before they are ranked
_MOST_NEAR = 5
_SCORE_STEP = 0.05  # scores nearer than this are equals: then live comes before finished


class Level(IntEnum):
    """How an order was found; lower is surer."""

    NUMBER = 0  # its very number, its purchase order's, or a ticket of it
    WORDS = 1
    SLIPS = 2  # in words that are in none of the books
    MORE_SLIPS = 3  # in words that are in the books, too
    FEWER_WORDS = 4


_FORGIVEN = {
    Level.WORDS: Forgiving.NONE,
    Level.SLIPS: Forgiving.UNKNOWN,
    Level.MORE_SLIPS: Forgiving.ALL,
}


@dataclass(frozen=True, slots=True)
class Match:
    """One order that was found: how, and how well what was said fits what it holds (0 to 1)."""

    hit: Hit
    level: Level
    score: float
    closeness: float = 0.0  # among equals: all words in one field, or the whole field said


@dataclass(frozen=True, slots=True)
class Near:
    """Something in the books that comes near: a `number` or a `word`, and an order that has it."""

    kind: str
    text: str
    order_id: int


@dataclass(frozen=True, slots=True)
class Found:
    """Orders best first; when there are none, what comes near. `slip`: the number that was meant."""

    matches: tuple[Match, ...] = ()
    near: tuple[Near, ...] = ()
    slip: str = ""


@dataclass(slots=True)
class Matcher:
    """Answers one question from one database's indexes; days are days in the shop's own time zone."""

    index: SearchIndex
    question: Question
    zone: ZoneInfo
    most: int  # orders that are wanted
    expander: Expander = field(init=False)

    def __post_init__(self) -> None:
        self.expander = Expander(self.index)

    def find(self) -> Found:
        """The best orders for the question."""
        question = self.question
        if not question.joined:
            return Found()
        numbered = self.by_number({question.joined: 1.0})
        if numbered and (any(c.isdigit() for c in question.joined) or len(numbered) >= self.most):
            return Found(self._ranked(numbered))
        words = self._settled(question.words)
        found = {match.hit.order_id: match for match in numbered}
        for matches in self._levels(words, self._settled(question.all_words)):
            for match in matches:
                found.setdefault(match.hit.order_id, match)
            if found:
                break
        if found:
            return Found(self._ranked(found.values()))
        return self._slip_or_near(words)

    def by_number(self, numbers: Alternatives) -> list[Match]:
        """Orders whose very number, or whose purchase order's, is one of these (folded and joined)."""
        hits = self._hits([numbers])
        told = ((hit, max(numbers.get(own, 0.0) for own in _own_numbers(hit))) for hit in hits)
        return [Match(hit, Level.NUMBER, score) for hit, score in told if score]

    def _settled(self, words: Sequence[Word]) -> list[Word]:
        """The words; digits in pieces that are in no phone number are the pieces again."""
        settled: list[Word] = []
        for word in words:
            in_pieces = len(word.parts) > 1 and not self.expander.phones(word.term)
            settled += [Word(part) for part in word.parts] if in_pieces else [word]
        return settled

    def _levels(self, words: list[Word], with_days: list[Word]) -> Iterator[list[Match]]:
        if len(with_days) > len(words):
            # "Friday" may be the name of a band: orders that say so come first.
            yield self._by_words(with_days, Level.WORDS)
        if not words:
            return
        yield self._by_words(words, Level.WORDS)
        if self.question.is_number:
            return
        yield self._by_words(words, Level.SLIPS)
        yield self._by_words(words, Level.MORE_SLIPS)
        if len(words) > 1:
            yield self._by_fewer(words)

    def _by_words(self, words: Sequence[Word], level: Level) -> list[Match]:
        groups = self.expander.expand(words, _FORGIVEN[level])
        if not all(groups):
            return []
        enough = self.most if level is Level.WORDS else _MOST_LIVE
        return [self._match(hit, groups, level) for hit in self._hits(groups, enough)]

    def _by_fewer(self, words: Sequence[Word]) -> list[Match]:
        """Orders that hold all words but some, as few left out as possible and never more than half."""
        groups = [g for g in self.expander.expand(words, Forgiving.ALL) if g]
        least = max(1, (len(words) + 1) // 2)
        for kept in range(min(len(groups), len(words) - 1), least - 1, -1):
            hits = {h.order_id: h for some in combinations(groups, kept) for h in self._hits(some)}
            if hits:
                missing: list[Alternatives] = [{}] * (len(words) - len(groups))
                return [self._match(hit, [*groups, *missing], Level.FEWER_WORDS) for hit in hits.values()]
        return []

    def _hits(self, groups: Sequence[Alternatives], enough: int = _MOST_LIVE) -> list[Hit]:
        """Live orders; and finished ones, unless so many live ones are enough."""
        live = self.index.orders(groups, live=True, most=_MOST_LIVE)
        if len(live) >= enough:
            return live
        return live + self.index.orders(groups, live=False, most=_MOST_FINISHED + len(live))

    def _match(self, hit: Hit, groups: Sequence[Alternatives], level: Level) -> Match:
        lines = [frozenset(line.split()) for line in hit.lines]
        by_line = [[_best(line, group) for line in lines] for group in groups]
        score = sum(max(scores, default=0.0) for scores in by_line) / len(groups)
        return Match(hit, level, score, self._closeness(hit, by_line))

    def _closeness(self, hit: Hit, by_line: list[list[float]]) -> float:
        """How well the words fit together: neighbours in one field, and whole fields said."""
        together = [max(map(min, one, other)) for one, other in pairwise(by_line)]
        wholes = sum(_whole(line) in self.question.wholes for line in hit.lines if line)
        return round(sum(together) / len(together), 1) + wholes if together else float(wholes)

    def _ranked(self, matches: Iterable[Match]) -> tuple[Match, ...]:
        return tuple(sorted(matches, key=self._rank)[: self.most])

    def _rank(self, match: Match) -> tuple[float, ...]:
        hit = match.hit
        due = hit.due_at.timestamp() if hit.due_at else float("inf")
        return (
            match.level,
            -round(match.score / _SCORE_STEP),
            not self._is_due_then(hit.due_at),
            not hit.is_live,
            -match.closeness,
            due if hit.is_live else -due if hit.due_at else due,
            hit.order_id if hit.is_live else -hit.order_id,
        )

    def _is_due_then(self, due_at: datetime | None) -> bool:
        return bool(due_at and due_at.astimezone(self.zone).date() in self.question.days)

    def _slip_or_near(self, words: Sequence[Word]) -> Found:
        """A number with one slip, when only one order can be meant; else what comes near."""
        near = self._near_numbers()
        if len(near) == 1 or (near and near[0].score == 1.0 > near[-1].score):
            best = near[0]
            return Found((best,), slip=self._said_number(best.hit))
        numbers = [Near("number", self._said_number(m.hit), m.hit.order_id) for m in near[:_MOST_NEAR]]
        others = () if self.question.is_number else self._near_words(words)
        return Found(near=(*numbers, *others)[: self.most])

    def _near_numbers(self) -> list[Match]:
        if not any(c.isdigit() for c in self.question.joined):
            return []
        near = self.by_number(numbers_near(self.question.joined))
        return sorted(near, key=self._rank)

    def _said_number(self, hit: Hit) -> str:
        near = numbers_near(self.question.joined)
        return max(_own_numbers(hit), key=lambda own: near.get(own, 0.0))

    def _near_words(self, words: Sequence[Word]) -> Iterator[Near]:
        for word in words:
            if word.has_digit:
                continue
            for other in self.expander.near_words(word.term, _MOST_NEAR):
                hit = next(iter(self._hits([{other: 1.0}])), None)
                if hit:
                    yield Near("word", other, hit.order_id)


def due_days(question: Question) -> frozenset[date]:
    """The days, when a question names nothing but days."""
    return question.days if not question.words else frozenset()


def _own_numbers(hit: Hit) -> list[str]:
    """The number of an order and that of its purchase order, each folded and joined."""
    lines = (hit.lines[at] for at in (Line.NUMBER, Line.PURCHASE_ORDER) if at < len(hit.lines))
    return [_whole(line) for line in lines if line]


def _whole(line: str) -> str:
    """All of a field as one word: the last term of its line."""
    return line.rsplit(" ", 1)[-1]


def _best(terms: frozenset[str], group: Alternatives) -> float:
    """The best likeness of a word's alternatives that stand in one line."""
    plain = max((group[term] for term in terms if term in group), default=0.0)
    begun = (
        like
        for term, like in group.items()
        if term.endswith(PREFIX) and like > plain and any(t.startswith(term[:-1]) for t in terms)
    )
    return max(begun, default=plain)
