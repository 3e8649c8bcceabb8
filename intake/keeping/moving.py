"""Moving a shop's books from the built-in database to a PostgreSQL server, once, and keeping the old file."""

from __future__ import annotations

import tempfile
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy.exc import SQLAlchemyError

from config.settings import Settings
from intake.shop import Shop, utc_now
from intake.single import only_one
from tickets.ledger.audit import audit
from tickets.ledger.carrying import carry_over, count_rows
from tickets.problems import ShopProblem
from tickets.store import DATABASE_NAME, Store, open_store


@dataclass(frozen=True, slots=True)
class Moved:
    """What was carried over, and where the old file is kept."""

    where: str  # the new database's address, without its password
    rows: dict[str, int]
    kept: Path

    def as_json(self) -> dict[str, Any]:
        """The answer for programs."""
        return {"database": self.where, "rows": self.rows, "kept": str(self.kept)}

    def as_lines(self) -> list[str]:
        """The answer for people."""
        return [
            f"All books are in {self.where} now: {self.rows['orders']} orders, "
            f"{self.rows['tickets']} tickets, {sum(self.rows.values())} rows in all, gone over once more.",
            f"The old file is kept as {self.kept.name}. Delete it once the shop has worked with the new one.",
            "Next: see that database.url in shop.toml (or FILMDOCKET_DATABASE_URL) names it; start again.",
        ]


def move_database(folder: Path, settings: Settings, url: str) -> Moved:
    """Carry the books of `filmdocket.db` into the PostgreSQL database at `url`, and set the file aside.

    Daemon and pages must be stopped: the daemon's lock is taken, and a change that somebody else books
    meanwhile is noticed. Raises ShopProblem `nothing-to-move`, `database-not-empty`, `move-not-whole`,
    `already-watching`, and what either database has to say.
    """
    file = folder / DATABASE_NAME
    if not url:
        raise ShopProblem(
            "nothing-to-move",
            "No PostgreSQL address is given.",
            "Name it with --to, or set database.url in shop.toml.",
        )
    if not file.exists():
        raise ShopProblem(
            "nothing-to-move",
            f"There is no {DATABASE_NAME} in {folder}.",
            "If it was moved before, there is nothing more to do.",
        )
    with (
        tempfile.TemporaryDirectory() as elsewhere,
        _books(settings, folder, "") as source,
        only_one(Shop(folder, settings, source, utc_now)),
        _books(settings, Path(elsewhere), url) as target,
    ):
        rows = carry_over(source, target)
        _see_that_it_is_whole(source, target, rows)
        where = target.where
    return Moved(where, rows, _set_aside(file))


def _books(settings: Settings, folder: Path, url: str) -> closing[Store]:
    """The books at an address (the built-in ones when it is empty), open for a block."""
    database = settings.database.model_copy(update={"url": url})
    return closing(open_store(settings.model_copy(update={"database": database}), folder))


def _see_that_it_is_whole(source: Store, target: Store, rows: dict[str, int]) -> None:
    """The new books audit well, and nothing was booked into the old ones meanwhile."""
    try:
        wrong = audit(target)
        with source.reading() as session:
            now = count_rows(session)
    except SQLAlchemyError as error:
        wrong, now = [str(error)], rows
    if wrong or now != rows:
        says = wrong[0] if wrong else "somebody booked into the old ones meanwhile"
        raise ShopProblem(
            "move-not-whole",
            f"The books were copied, but {says}. The shop goes on with {DATABASE_NAME}; nothing is lost.",
            "Stop the daemon and the pages, give an empty database, and move again.",
        )


def _set_aside(file: Path) -> Path:
    """Rename the old file, never over another; SQLite folded its companions in when it was closed."""
    kept = file.with_name(f"{file.name}.moved")
    number = 1
    while kept.exists():
        number += 1
        kept = file.with_name(f"{file.name}.moved.{number}")
    file.rename(kept)
    return kept
