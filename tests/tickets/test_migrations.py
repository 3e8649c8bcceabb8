"""The steps of the tables: they lead exactly to what the models say, on both databases, and lose nothing."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Column, Connection, Engine, MetaData, String, create_engine, text
from sqlmodel import SQLModel

import tickets.models  # noqa: F401 - fills SQLModel.metadata
from tests.stores import Home, Server
from tickets.migrations import HEAD, REVISIONS
from tickets.migrations.draft import draft_steps
from tickets.migrations.upgrade import alembic_config, back_up_beside, migrate
from tickets.search import create_search, drop_search, is_search_object
from tickets.search.schema import POSTGRESQL_INDEXES, index_at_once

POSTGRESQL_INDEX_OPTIONS = "SELECT relname, reloptions FROM pg_class WHERE relname LIKE 'ix_search_%'"
SQLITE_SCHEMA = "SELECT type, name, sql FROM sqlite_master ORDER BY type, name"
POSTGRESQL_SCHEMA = """
SELECT 'column', c.relname || '.' || a.attname,
       a.attnum || ' ' || format_type(a.atttypid, a.atttypmod) || ' ' || a.attnotnull
       || coalesce(' ' || pg_get_expr(d.adbin, d.adrelid), '')
FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0
LEFT JOIN pg_attrdef d ON d.adrelid = c.oid AND d.adnum = a.attnum
WHERE c.relkind = 'r' AND c.relnamespace = 'public'::regnamespace
UNION ALL SELECT 'constraint', conname, conrelid::regclass || ' ' || pg_get_constraintdef(oid)
FROM pg_constraint WHERE connamespace = 'public'::regnamespace
UNION ALL SELECT 'index', indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'
UNION ALL SELECT 'trigger', tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal
ORDER BY 1, 2
"""


def schema_of(connection: Connection) -> list[tuple[str, str, str]]:
    """The schema as the database itself tells it, without the spacing, and without Alembic's own table."""
    asked = SQLITE_SCHEMA if connection.dialect.name == "sqlite" else POSTGRESQL_SCHEMA
    rows = [(kind, name, in_one_order(sql or "")) for kind, name, sql in connection.execute(text(asked))]
    return [row for row in rows if "alembic_version" not in row[2] and "alembic_version" not in row[1]]


def in_one_order(sql: str) -> str:
    """A statement in single spaces, a table's constraints sorted: their order says nothing."""
    head, *constraints = re.sub(r"\s+", " ", sql).removesuffix(" )").split(", CONSTRAINT ")
    return ", CONSTRAINT ".join([head, *sorted(constraints)])


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def two_empty(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Engine, Engine]]:
    """Two empty databases of one kind."""
    if request.param == "sqlite":
        urls = [f"sqlite:///{tmp_path / name}.db" for name in ("one", "other")]
    else:
        server: Server = request.getfixturevalue("postgres_server")
        urls = [server.make(), server.make()]
    engines = [create_engine(url) for url in urls]
    yield engines[0], engines[1]
    for engine, url in zip(engines, urls, strict=True):
        engine.dispose()
        if request.param == "postgresql":
            server.drop(url)


def test_migrated_tables_are_those_of_the_models_to_the_letter(two_empty: tuple[Engine, Engine]) -> None:
    """Every column, CHECK, partial index and trigger: compared as text, as the database has it."""
    with two_empty[0].begin() as migrated, two_empty[1].begin() as fresh:
        migrate(migrated)
        SQLModel.metadata.create_all(fresh)
        create_search(fresh)
        assert schema_of(migrated) == schema_of(fresh)
        assert any("CHECK" in sql for _, _, sql in schema_of(fresh))
        assert any("WHERE" in sql for kind, _, sql in schema_of(fresh) if kind == "index")


def test_nothing_is_left_to_generate(two_empty: tuple[Engine, Engine]) -> None:
    """Alembic's own comparison finds no difference either."""
    with two_empty[0].begin() as connection:
        migrate(connection)
        options = {"include_name": lambda name, _kind, _parents: not is_search_object(name)}
        context = MigrationContext.configure(connection, opts={"compare_type": True, **options})
        assert compare_metadata(context, SQLModel.metadata) == []


@pytest.mark.postgres
def test_indexes_of_earlier_books_take_new_rows_in_at_once(postgres_server: Server) -> None:
    """Made without the setting, as the first versions did, and with rows on their waiting lists."""
    url = postgres_server.make()
    engine = create_engine(url)
    with engine.begin() as connection:
        migrate(connection, "0007")
        for name in POSTGRESQL_INDEXES:
            connection.execute(text(f"ALTER INDEX {name} RESET (fastupdate)"))
        connection.execute(
            text("INSERT INTO search_words (word) SELECT 'otter' || n FROM generate_series(1, 50) n")
        )
        migrate(connection)
        made = {row[0]: row[1] for row in connection.execute(text(POSTGRESQL_INDEX_OPTIONS))}
        assert made == {name: ["fastupdate=off"] for name in POSTGRESQL_INDEXES}
        waiting = text("SELECT gin_clean_pending_list('ix_search_trigrams'::regclass)")
        assert connection.execute(waiting).scalar() == 0
        found = text("SELECT count(*) FROM search_words WHERE word LIKE '%tter4%'")
        assert connection.execute(found).scalar() == 11
        drop_search(connection)
        index_at_once(connection)  # on a server without pg_trgm one of them was never made
    engine.dispose()
    postgres_server.drop(url)


def test_a_new_column_is_drafted(monkeypatch: pytest.MonkeyPatch) -> None:
    """The developer's tool has nothing to do as it stands, and adds a column once there is a new one."""
    assert "pass" in draft_steps()
    changed = MetaData(naming_convention=SQLModel.metadata.naming_convention)
    for table in SQLModel.metadata.tables.values():
        table.to_metadata(changed)
    changed.tables["heartbeats"].append_column(Column("mood", String))
    monkeypatch.setattr(SQLModel, "metadata", changed)
    assert "add_column(sa.Column('mood', sa.String(), nullable=True))" in draft_steps()


def test_the_list_of_revisions_is_that_of_the_files() -> None:
    """The store knows the revisions without importing Alembic, so the list must be kept by hand, and is."""
    walked = ScriptDirectory.from_config(alembic_config()).walk_revisions()
    assert [step.revision for step in walked] == list(reversed(REVISIONS))
    assert HEAD in REVISIONS[-1:]


def test_a_backup_beside_the_database_is_whole_and_overwrites_none(sqlite_home: Home) -> None:
    """A second backup of the same name gets a number; each can be opened by itself."""
    file = sqlite_home.folder / "filmdocket.db"
    made = [back_up_beside(file, "0009") for _ in range(2)]
    assert [path.name for path in made] == ["filmdocket.db.before-0009", "filmdocket.db.before-0009.2"]
    for path in made:
        with closing(sqlite3.connect(path)) as copy:
            assert copy.execute("SELECT version_num FROM alembic_version").fetchone() == (HEAD,)
            assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert not list(sqlite_home.folder.glob("*.part"))


def test_books_of_the_first_version_gain_the_devices(tmp_path: Path) -> None:
    """What was in them stays, and a device can be let in."""
    engine = create_engine(f"sqlite:///{tmp_path / 'one.db'}")
    with engine.begin() as connection:
        migrate(connection, "0001")
        connection.execute(text("INSERT INTO heartbeats VALUES ('intake', '2026-12-02', 'alive', 'here')"))
        migrate(connection, "0002")
        assert connection.execute(text("SELECT says FROM heartbeats")).scalar() == "alive"
        assert connection.execute(text("SELECT count(*) FROM devices")).scalar() == 0
    engine.dispose()
