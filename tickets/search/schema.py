"""The search indexes, kept by the database itself: FTS5 on SQLite, GIN and pg_trgm on PostgreSQL."""

from __future__ import annotations

from sqlalchemy import Connection, text
from sqlalchemy.exc import DBAPIError

# A model table ("search_words") is none of these: only what no model describes.
SQLITE_TABLES = ("search_orders", "search_live_orders", "search_trigrams")
POSTGRESQL_INDEXES = ("ix_search_orders", "ix_search_live_orders", "ix_search_trigrams")

# The words of an order as PostgreSQL indexes them: exactly this expression must stand in a query too.
ORDER_WORDS = (
    "array_to_tsvector(array_remove(string_to_array(translate(orders.search_text, E'\\n', ' '), ' '), ''))"
)

# Contentless and without positions: only which order holds which word is asked. The text is folded already,
# and `ascii` keeps every letter and vowel sign beyond ASCII as it is, on every version of SQLite.
_ORDERS_TABLE = (
    "CREATE VIRTUAL TABLE IF NOT EXISTS {name} USING fts5("
    "words, content='', columnsize=0, detail=none, tokenize='ascii')"
)
_TRIGRAMS_TABLE = (
    "CREATE VIRTUAL TABLE IF NOT EXISTS search_trigrams USING fts5("
    "word, content='', columnsize=0, detail=none, tokenize='trigram case_sensitive 1')"
)
# Two leading blanks and one behind, so that beginnings and ends of words are trigrams of their own; then a
# trigram that tells the word's length (`length_mark`).
_ENTRY = "'  ' || {word} || ' #' || substr('0' || min(length({word}), 99), -2)"
_SQLITE_TRIGGERS = {
    "search_words_added": """AFTER INSERT ON search_words BEGIN
        INSERT INTO search_trigrams (rowid, word) VALUES (new.id, {entry});
    END""",
    "search_orders_added": """AFTER INSERT ON orders BEGIN
        INSERT INTO search_orders (rowid, words) VALUES (new.id, new.search_text);
        INSERT INTO search_live_orders (rowid, words)
            SELECT new.id, new.search_text WHERE new.closed_at IS NULL;
    END""",
    "search_orders_changed": """AFTER UPDATE OF search_text ON orders
    WHEN old.search_text <> new.search_text BEGIN
        INSERT INTO search_orders (search_orders, rowid, words) VALUES ('delete', old.id, old.search_text);
        INSERT INTO search_orders (rowid, words) VALUES (new.id, new.search_text);
    END""",
    "search_live_orders_changed": """AFTER UPDATE OF search_text, closed_at ON orders
    WHEN old.search_text <> new.search_text OR (old.closed_at IS NULL) <> (new.closed_at IS NULL) BEGIN
        INSERT INTO search_live_orders (search_live_orders, rowid, words)
            SELECT 'delete', old.id, old.search_text WHERE old.closed_at IS NULL;
        INSERT INTO search_live_orders (rowid, words)
            SELECT new.id, new.search_text WHERE new.closed_at IS NULL;
    END""",
    "search_orders_removed": """AFTER DELETE ON orders BEGIN
        INSERT INTO search_orders (search_orders, rowid, words) VALUES ('delete', old.id, old.search_text);
        INSERT INTO search_live_orders (search_live_orders, rowid, words)
            SELECT 'delete', old.id, old.search_text WHERE old.closed_at IS NULL;
    END""",
}
# Without `fastupdate = off` new rows wait in a list that every search reads through until the server tidies
# up; with some thousand of them it rather reads the whole table, a thousand times slower. One order is
# written in a millisecond more.
_AT_ONCE = " WITH (fastupdate = off)"
_POSTGRESQL_INDEXES = (
    f"CREATE INDEX IF NOT EXISTS ix_search_orders ON orders USING gin ({ORDER_WORDS}){_AT_ONCE}",
    f"CREATE INDEX IF NOT EXISTS ix_search_live_orders ON orders USING gin ({ORDER_WORDS}){_AT_ONCE}"
    " WHERE closed_at IS NULL",
)

_POSTGRESQL_TRIGRAMS = (
    f"CREATE INDEX IF NOT EXISTS ix_search_trigrams ON search_words USING gin (word gin_trgm_ops){_AT_ONCE}"
)


def create_search(connection: Connection) -> None:
    """Make the search indexes, in the caller's transaction, after the tables `orders` and `search_words`.

    May run again. A later migration that rebuilds `orders` or `search_words` on SQLite loses their triggers:
    it calls this, and then `refill_search`.
    """
    if connection.dialect.name == "sqlite":
        for name in ("search_orders", "search_live_orders"):
            connection.execute(text(_ORDERS_TABLE.format(name=name)))
        connection.execute(text(_TRIGRAMS_TABLE))
        for name, body in _SQLITE_TRIGGERS.items():
            made = body.replace("{entry}", _ENTRY.format(word="new.word"))
            connection.execute(text(f"CREATE TRIGGER IF NOT EXISTS {name} {made}"))
        return
    for statement in _POSTGRESQL_INDEXES:
        connection.execute(text(statement))
    _create_postgresql_trigrams(connection)


def index_at_once(connection: Connection) -> None:
    """Have PostgreSQL's indexes of earlier versions take new rows in at once, and what still waits.

    The setting counts for new rows alone; `gin_clean_pending_list` takes in what the list holds
    (postgresql.org/docs/current/functions-admin.html, from memory). An index that is missing is passed over.
    """
    if connection.dialect.name == "sqlite":
        return
    for name in POSTGRESQL_INDEXES:
        if connection.execute(text("SELECT to_regclass(:name)"), {"name": name}).scalar() is not None:
            connection.execute(text(f"ALTER INDEX {name} SET (fastupdate = off)"))
            connection.execute(text("SELECT gin_clean_pending_list(to_regclass(:name))"), {"name": name})


def drop_search(connection: Connection) -> None:
    """Remove the search indexes, in the caller's transaction; the orders' search text stays."""
    if connection.dialect.name == "sqlite":
        for name in _SQLITE_TRIGGERS:
            connection.execute(text(f"DROP TRIGGER IF EXISTS {name}"))
        for name in SQLITE_TABLES:
            connection.execute(text(f"DROP TABLE IF EXISTS {name}"))
        return
    for name in POSTGRESQL_INDEXES:
        connection.execute(text(f"DROP INDEX IF EXISTS {name}"))


def refill_search(connection: Connection) -> None:
    """Fill SQLite's search indexes anew from the books; PostgreSQL keeps its own."""
    if connection.dialect.name != "sqlite":
        return
    for name in SQLITE_TABLES:
        connection.execute(text(f"INSERT INTO {name} ({name}) VALUES ('delete-all')"))
    fill = "INSERT INTO {name} (rowid, words) SELECT id, search_text FROM orders"
    connection.execute(text(fill.format(name="search_orders")))
    connection.execute(text(fill.format(name="search_live_orders") + " WHERE closed_at IS NULL"))
    entry = _ENTRY.format(word="word")
    connection.execute(
        text(f"INSERT INTO search_trigrams (rowid, word) SELECT id, {entry} FROM search_words")
    )


def length_mark(length: int) -> str:
    """The trigram by which SQLite's index of trigrams tells how long a word is."""
    return f"#{min(length, 99):02}"


def is_search_object(name: str | None) -> bool:
    """Whether a table, trigger or index is one of these, FTS5's shadow tables too: no model has them."""
    if name is None:
        return False
    own = (*SQLITE_TABLES, *POSTGRESQL_INDEXES, *_SQLITE_TRIGGERS)
    return name in own or any(name.startswith(f"{table}_") for table in SQLITE_TABLES)


def _create_postgresql_trigrams(connection: Connection) -> None:
    """pg_trgm needs its files on the server and the right to create it: the search must live without."""
    try:
        with connection.begin_nested():
            connection.execute(text("CREATE EXTENSION IF NOT EXISTS pg_trgm"))
            connection.execute(text(_POSTGRESQL_TRIGRAMS))
    except DBAPIError:
        return
