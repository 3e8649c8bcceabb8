"""Carrying whole books from one database into another: every row of every table, in one transaction."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Table, func, insert, select, text
from sqlmodel import Session, SQLModel

import tickets.models as _models  # noqa: F401 - it names the tables
from tickets.problems import ShopProblem
from tickets.store import Store

_ROWS_AT_ONCE = 500


def carry_over(source: Store, target: Store) -> dict[str, int]:
    """Copy all rows of `source` into the empty `target`; returns how many of each table.

    Writers of `source` wait meanwhile; `target` has all of it or nothing. A target that already holds
    exactly these books (an earlier try that was cut off at its end) is left as it is. Raises ShopProblem
    `database-not-empty`.
    """
    with source.writing() as old, target.writing() as new:
        there = count_rows(new)
        here = count_rows(old)
        if there == here:
            return here
        if any(there.values()):
            raise ShopProblem(
                "database-not-empty",
                f"The database {target.where} holds books already, and not these.",
                "Name an empty database, one that was made for this shop.",
            )
        for table in SQLModel.metadata.sorted_tables:
            for rows in _batches(old, table):
                new.execute(insert(table), rows)
            _number_on(new, table)
        return here


def count_rows(session: Session) -> dict[str, int]:
    """How many rows each table of the books has."""
    counted = {}
    for table in SQLModel.metadata.sorted_tables:
        found = session.connection().execute(select(func.count()).select_from(table)).scalar()
        counted[table.name] = int(found or 0)
    return counted


def _batches(session: Session, table: Table) -> Iterator[list[dict[str, Any]]]:
    asked = select(table).order_by(*table.primary_key.columns)
    found = session.connection().execution_options(yield_per=_ROWS_AT_ONCE).execute(asked)
    for rows in found.mappings().partitions(_ROWS_AT_ONCE):
        yield [dict(row) for row in rows]


def _number_on(session: Session, table: Table) -> None:
    """PostgreSQL numbers new rows from a sequence of its own, which copied rows do not move."""
    if session.connection().dialect.name != "postgresql" or "id" not in table.columns:
        return
    session.connection().execute(
        text(
            f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
            f"greatest((SELECT max(id) FROM {table.name}), 1), EXISTS (SELECT 1 FROM {table.name}))"
        )
    )
