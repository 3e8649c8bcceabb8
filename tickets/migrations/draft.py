"""For developers: prints what the next migration must do, `python -m tickets.migrations.draft`.

It compares the models with an SQLite database brought to the present `HEAD`. What Alembic cannot see (a
changed CHECK, the condition of a partial index, a trigger) is added by hand; a test compares the schemas
as their text.
"""

from __future__ import annotations

import sys

from alembic.autogenerate import produce_migrations, render_python_code
from alembic.migration import MigrationContext
from sqlalchemy import create_engine
from sqlmodel import SQLModel

import tickets.models  # noqa: F401 - fills SQLModel.metadata
from tickets.migrations.upgrade import migrate
from tickets.search import is_search_object


def draft_steps() -> str:
    """The operations that lead from `HEAD` to the models, as Python."""
    engine = create_engine("sqlite://")
    with engine.begin() as connection:
        migrate(connection)
        options = {
            "compare_type": True,
            "render_as_batch": True,
            "include_name": lambda name, _kind, _parents: not is_search_object(name),
        }
        context = MigrationContext.configure(connection, opts=options)
        steps = produce_migrations(context, SQLModel.metadata).upgrade_ops
        return render_python_code(steps, render_as_batch=True) if steps else ""


if __name__ == "__main__":
    sys.stdout.write(draft_steps() + "\n")
