"""What the search indexes answer, on either database: which words there are, and which orders hold them."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from sqlalchemy import Connection, text

from tickets.search.schema import ORDER_WORDS, length_mark
from tickets.utc import Utc

PREFIX = "*"  # behind a term: any word that begins with it
LAST_LETTER = "\U0010ffff"  # sorts behind every continuation of a word
TRIGRAM = 3  # letters
_MOST_TRIGRAMS = 40  # of one word: longer words are told apart by fewer
_MOST_LIKE = 800  # words that hold one piece of a misspelt one
_LEAST_IN_PIECES = 5  # letters: shorter words are forgiven one slip, which needs no pieces
_Groups = Sequence[Collection[str]]


@dataclass(frozen=True, slots=True)
class Hit:
    """One order that holds what was looked for, with as much of it as ranking needs."""

    order_id: int
    lines: tuple[str, ...]
    due_at: datetime | None
    is_live: bool


class SearchIndex(Protocol):
    """One database's indexes. A group of terms is met by any one of them; an order must meet every group."""

    def known(self, words: Iterable[str]) -> set[str]:
        """Those of the words that are in the books as they are."""
        ...

    def words_from(self, beginning: str, most: int) -> list[str]:
        """Words that begin so, the shortest first."""
        ...

    def words_with(self, part: str, most: int) -> list[str]:
        """Words that hold these three or more letters in a row."""
        ...

    def words_like(self, word: str) -> set[str]:
        """Words that this one may be misspelt from, with two slips or so; the caller compares them."""
        ...

    def orders(self, groups: _Groups, *, live: bool, most: int) -> list[Hit]:
        """Orders that meet every group: live ones, soonest due first; or finished ones, the latest first.

        For finished ones `most` counts live ones too, which are passed over.
        """
        ...


def search_index(books: Connection) -> SearchIndex:
    """The indexes of the database that is read here."""
    if books.dialect.name == "sqlite":
        return SqliteIndex(books)
    return PostgresIndex(books)


_COLUMNS = "orders.id, orders.search_text, orders.due_at, orders.closed_at IS NULL AS is_live"
_SOONEST = "ORDER BY orders.due_at IS NULL, orders.due_at, orders.id LIMIT :most"


def _hits(books: Connection, sql: str, values: dict[str, object]) -> list[Hit]:
    rows = books.execute(text(sql).columns(due_at=Utc), values)
    return [Hit(r.id, tuple(r.search_text.split("\n")), r.due_at, bool(r.is_live)) for r in rows]


@dataclass(frozen=True, slots=True)
class SqliteIndex:
    """FTS5: a table of words for all orders, one for live orders, and a table of the words' trigrams."""

    books: Connection

    def known(self, words: Iterable[str]) -> set[str]:
        """As `SearchIndex`; hundreds of words as one value, so that nothing is compiled for each."""
        asked = text("SELECT word FROM search_words WHERE word IN (SELECT value FROM json_each(:words))")
        values = {"words": json.dumps(sorted(set(words)))}
        return set(self.books.execute(asked, values).scalars())

    def words_from(self, beginning: str, most: int) -> list[str]:
        """As `SearchIndex`; a stretch of the words' own index."""
        asked = text(
            "SELECT word FROM search_words WHERE word >= :first AND word < :last "
            "ORDER BY length(word) LIMIT :most"
        )
        values = {"first": beginning, "last": beginning + LAST_LETTER, "most": most}
        return list(self.books.execute(asked, values).scalars())

    def words_with(self, part: str, most: int) -> list[str]:
        """As `SearchIndex`; words that hold all its trigrams, looked at once more."""
        words = self._by_trigrams(_all_of(part), most * 4)
        return [word for word in words if part in word][:most]

    def words_like(self, word: str) -> set[str]:
        """As `SearchIndex`; of three pieces of a word two slips leave one whole."""
        if len(word) < _LEAST_IN_PIECES:
            return set()
        first, middle, last = pieces_of(word)
        lengths = " OR ".join(_quoted(length_mark(n)) for n in range(len(word) - 2, len(word) + 3))
        matches = (_all_of(piece) for piece in (f"  {first}", middle, f"{last} "))
        return {w for m in matches if m for w in self._by_trigrams(f"({lengths}) AND {m}", _MOST_LIKE)}

    def _by_trigrams(self, match: str, most: int) -> list[str]:
        asked = text(
            "SELECT w.word FROM (SELECT rowid FROM search_trigrams WHERE search_trigrams MATCH :match "
            "LIMIT :most) AS t JOIN search_words AS w ON w.id = t.rowid"
        )
        if not match:
            return []
        return list(self.books.execute(asked, {"match": match, "most": most}).scalars())

    def orders(self, groups: _Groups, *, live: bool, most: int) -> list[Hit]:
        """As `SearchIndex`; FTS5 walks backwards without sorting: finished orders cost what is shown."""
        if not groups or not all(groups):
            return []
        match = " AND ".join("(" + " OR ".join(_fts_term(t) for t in sorted(g)) + ")" for g in groups)
        if live:
            sql = (
                f"SELECT {_COLUMNS} FROM search_live_orders AS f JOIN orders ON orders.id = f.rowid "
                f"WHERE search_live_orders MATCH :match {_SOONEST}"
            )
        else:
            sql = (
                f"SELECT {_COLUMNS} FROM (SELECT rowid FROM search_orders "
                "WHERE search_orders MATCH :match ORDER BY rowid DESC LIMIT :most) AS f "
                "JOIN orders ON orders.id = f.rowid WHERE orders.closed_at IS NOT NULL"
            )
        return _hits(self.books, sql, {"match": match, "most": most})


@dataclass(frozen=True, slots=True)
class PostgresIndex:
    """GIN over the words of each order, and pg_trgm over the words where the server has it."""

    books: Connection

    def known(self, words: Iterable[str]) -> set[str]:
        """As `SearchIndex`."""
        asked = text("SELECT word FROM search_words WHERE word = ANY(:words)")
        return set(self.books.execute(asked, {"words": sorted(set(words))}).scalars())

    def words_from(self, beginning: str, most: int) -> list[str]:
        """As `SearchIndex`."""
        return self._words("word LIKE :pattern", {"pattern": f"{beginning}%", "most": most})

    def words_with(self, part: str, most: int) -> list[str]:
        """As `SearchIndex`."""
        return self._words("word LIKE :pattern", {"pattern": f"%{part}%", "most": most})

    def words_like(self, word: str) -> set[str]:
        """As `SearchIndex`; pg_trgm's index serves LIKE, and without it the words are read through."""
        if len(word) < _LEAST_IN_PIECES:
            return set()
        first, middle, last = pieces_of(word)
        patterns = [f"{first}%", f"%{last}", *([f"%{middle}%"] if len(middle) >= TRIGRAM else [])]
        values = {"patterns": patterns, "least": len(word) - 2, "longest": len(word) + 2, "most": _MOST_LIKE}
        asked = text(
            "SELECT word FROM search_words WHERE word LIKE ANY(:patterns) "
            "AND length(word) BETWEEN :least AND :longest LIMIT :most"
        )
        return set(self.books.execute(asked, values).scalars())

    def _words(self, condition: str, values: dict[str, object]) -> list[str]:
        asked = text(
            f"SELECT word FROM search_words WHERE {condition} ORDER BY length(word), word LIMIT :most"
        )
        return list(self.books.execute(asked, values).scalars())

    def orders(self, groups: _Groups, *, live: bool, most: int) -> list[Hit]:
        """As `SearchIndex`."""
        if not groups or not all(groups):
            return []
        query = " & ".join("(" + " | ".join(_tsquery_term(t) for t in sorted(g)) + ")" for g in groups)
        asked = _POSTGRESQL_LIVE if live else _POSTGRESQL_FINISHED
        return _hits(self.books, asked, {"query": query, "most": most})


# Words are looked up by themselves, and asked as a subquery: a planner that sees hundreds of alternatives, or
# an order by id with a limit, rather reads all orders and makes the words of each, a thousand times slower.
_FOUND = (
    f"WITH found AS MATERIALIZED (SELECT orders.id FROM orders "
    f"WHERE {ORDER_WORDS} @@ (SELECT CAST(:query AS tsquery)) AND "
)
_POSTGRESQL_LIVE = (
    f"{_FOUND} closed_at IS NULL) SELECT {_COLUMNS} FROM found JOIN orders ON orders.id = found.id {_SOONEST}"
)
_POSTGRESQL_FINISHED = (
    f"{_FOUND} closed_at IS NOT NULL), newest AS (SELECT id FROM found ORDER BY id DESC LIMIT :most) "
    f"SELECT {_COLUMNS} FROM newest JOIN orders ON orders.id = newest.id ORDER BY orders.id DESC"
)


def pieces_of(word: str) -> tuple[str, str, str]:
    """Beginning, middle and end of a word of four letters or more."""
    third = max(2, len(word) // 3)
    return word[:third], word[third : len(word) - third], word[-third:]


def trigrams(word: str) -> list[str]:
    """The distinct runs of three letters in a word, in order."""
    return list(dict.fromkeys(word[i : i + 3] for i in range(len(word) - 2)))[:_MOST_TRIGRAMS]


def _all_of(piece: str) -> str:
    """FTS5's words for: all trigrams of a piece; "" when it is too short to have any."""
    return " AND ".join(_quoted(t) for t in trigrams(piece))


def _quoted(term: str) -> str:
    return '"' + term.replace('"', '""') + '"'


def _fts_term(term: str) -> str:
    return _quoted(term.removesuffix(PREFIX)) + (" *" if term.endswith(PREFIX) else "")


def _tsquery_term(term: str) -> str:
    lexeme = term.removesuffix(PREFIX).replace("\\", "\\\\").replace("'", "''")
    return f"'{lexeme}'" + (":*" if term.endswith(PREFIX) else "")
