"""What goes wrong with a database, in words: one translation for both kinds, by their own error codes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from tickets.problems import SetupProblem

_BUSY = ("SQLITE_BUSY", "SQLITE_LOCKED", "SQLITE_PROTOCOL", "55P03", "57014")
_FULL = ("SQLITE_FULL", "53100")
_DAMAGED = ("SQLITE_CORRUPT", "SQLITE_NOTADB", "XX001", "XX002")
_READ_ONLY = ("SQLITE_READONLY", "25006", "42501")
_UNREACHABLE = ("SQLITE_CANTOPEN", "SQLITE_IOERR", "08", "57P", "53300", "28", "3D000", "57P03")
_AGAIN = ("40001", "40P01")  # PostgreSQL broke a tie between two writers: the loser may simply do it again


def error_code(error: DBAPIError) -> str:
    """SQLite's error name or PostgreSQL's SQLSTATE; '' when the driver gives none."""
    cause = error.orig
    code = getattr(cause, "sqlite_errorname", None) or getattr(cause, "sqlstate", None)
    return str(code or "")


def may_do_again(error: DBAPIError) -> bool:
    """Whether the transaction only lost a tie with another one, and changed nothing."""
    return error_code(error) in _AGAIN


@contextmanager
def database_words(where: str) -> Iterator[None]:
    """Turn what a person can put right about the database at `where` into a SetupProblem; the rest passes.

    `database-busy`, `database-full`, `database-damaged`, `database-read-only`, `database-unreachable`.
    """
    try:
        yield
    except DBAPIError as error:
        problem = problem_of(error, where)
        if problem is None:
            raise
        raise problem from error


def problem_of(error: DBAPIError, where: str) -> SetupProblem | None:
    """The problem that a person can put right behind a database error, or None: a fault in the program."""
    code = error_code(error)
    said = str(error.orig).strip().splitlines()[0] if str(error.orig).strip() else type(error.orig).__name__
    if code.startswith(_BUSY):
        return SetupProblem(
            "database-busy",
            f"The database {where} was busy with another writer for too long.",
            "Try again; if it stays so, see which program holds it (a backup, a second intake).",
        )
    if code.startswith(_FULL):
        return SetupProblem(
            "database-full",
            f"There is no room left for the database {where}.",
            "Free some disk space and try again.",
        )
    if code.startswith(_DAMAGED):
        return SetupProblem(
            "database-damaged",
            f"The database {where} is damaged or is no database ({said}).",
            "Stop everything that uses it and restore the last backup.",
        )
    if code.startswith(_READ_ONLY):
        return SetupProblem(
            "database-read-only",
            f"The database {where} can't be written ({said}).",
            "Give the user that runs filmdocket the right to write it and its folder.",
        )
    if code.startswith(_UNREACHABLE) or error.connection_invalidated or (not code and _is_connection(error)):
        return SetupProblem(
            "database-unreachable",
            f"The database {where} can't be reached ({said}).",
            "See that its disk or server is there, and that address, user and password are right.",
        )
    return None


def _is_connection(error: DBAPIError) -> bool:
    """PostgreSQL's driver gives no code when it never got as far as the server."""
    return type(error.orig).__name__ == "OperationalError" and type(error.orig).__module__.startswith(
        "psycopg"
    )
