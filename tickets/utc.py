"""Times in the books: aware, in UTC, on every database."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime
from sqlalchemy.types import TypeDecorator


class Utc(TypeDecorator[datetime]):
    """Aware UTC datetimes on every database: SQLite would drop the zone and hand back naive ones."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Any) -> datetime | None:
        """Refuse naive times: a time without a zone is a bug."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone reached the database")
        value = value.astimezone(UTC)
        return value.replace(tzinfo=None) if dialect.name == "sqlite" else value

    # SQLAlchemy calls it with both arguments.
    def process_result_value(self, value: datetime | None, dialect: Any) -> datetime | None:  # noqa: ARG002
        """Hand times back aware, in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
