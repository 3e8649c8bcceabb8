"""Runs that are sheets of film, not stretches of roll."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; all runs so far are of the roll."""
    op.create_table(
        "film_sheets",
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["film_runs.id"], name=op.f("fk_film_sheets_run_id")),
        sa.PrimaryKeyConstraint("run_id", name=op.f("pk_film_sheets")),
    )
