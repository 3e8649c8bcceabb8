"""Bringing a database to the tables of this program: backed up beside itself, then in one transaction."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, text

from tickets.migrations import HEAD

FOLDER = Path(__file__).parent


def alembic_config(connection: Connection | None = None) -> Config:
    """Alembic's settings, made here rather than read from a file: the steps lie beside this module."""
    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def migrate(connection: Connection, to: str = HEAD) -> None:
    """Run the missing steps, in the caller's transaction."""
    command.upgrade(alembic_config(connection), to)
    if connection.dialect.name == "sqlite":
        broken = connection.execute(text("PRAGMA foreign_key_check")).all()
        if broken:
            raise RuntimeError(f"a migration to {to} left rows that point to nothing: {broken[:5]}")


def back_up_beside(database: Path, label: str) -> Path:
    """Copy an SQLite database beside itself as `<name>.before-<label>`, synced, and never over another."""
    for at in range(1, 1000):
        target = database.with_name(f"{database.name}.before-{label}" + ("" if at == 1 else f".{at}"))
        if not target.exists():
            break
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    with closing(sqlite3.connect(database)) as source, closing(sqlite3.connect(part)) as copy:
        source.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    part.replace(target)
    return target
