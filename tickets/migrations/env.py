"""Alembic's door to a migration: it is handed an open transaction, and never connects by itself."""

from alembic import context
from sqlmodel import SQLModel

import tickets.models  # noqa: F401 - fills SQLModel.metadata
from tickets.search import is_search_object

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,  # SQLite cannot alter a column: the table is rebuilt
    include_name=lambda name, _kind, _parents: not is_search_object(name),
)
with context.begin_transaction():
    context.run_migrations()
