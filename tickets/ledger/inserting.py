"""Rows that may be there already: inserted once, whoever of two writers comes first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Table
from sqlalchemy.sql.elements import ColumnElement
from sqlmodel import Session, SQLModel


def row_values(row: SQLModel) -> dict[str, Any]:
    """The columns of a new row, without the number that the database gives it."""
    return row.model_dump(exclude={"id"})


def insert_unless_there(session: Session, row: SQLModel, key: Sequence[str]) -> bool:
    """Insert a row unless one with the same `key` is there; says whether it was inserted.

    On PostgreSQL the second of two writers waits here until the first has committed or given up.
    """
    table = SQLModel.metadata.tables[str(type(row).__tablename__)]
    statement = _insert(session, table).values(**row_values(row)).on_conflict_do_nothing(index_elements=key)
    # A row comes back only when it was inserted; the count of rows is not told by every driver.
    return session.execute(statement.returning(table.c[key[0]])).first() is not None


def insert_or_update(
    session: Session,
    row: SQLModel,
    key: Sequence[str],
    changes: Mapping[str, Any],
    where: ColumnElement[bool] | None = None,
) -> None:
    """Insert a row, or change the one with the same `key` (of a partial index `where`)."""
    table = SQLModel.metadata.tables[str(type(row).__tablename__)]
    statement = _insert(session, table).values(**row_values(row))
    session.execute(
        statement.on_conflict_do_update(index_elements=key, index_where=where, set_=dict(changes))
    )


def _insert(session: Session, table: Table) -> Any:
    """`INSERT … ON CONFLICT` is spelt alike in both databases, but SQLAlchemy has it in each dialect."""
    if session.get_bind().dialect.name == "postgresql":
        from sqlalchemy.dialects.postgresql import insert as postgresql_insert

        return postgresql_insert(table)
    from sqlalchemy.dialects.sqlite import insert as sqlite_insert

    return sqlite_insert(table)
