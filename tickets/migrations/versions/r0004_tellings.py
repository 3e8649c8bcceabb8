"""What customers are told, once for each thing that happened."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of messages; what happened before is not told again."""
    op.create_table(
        "tellings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("standing", sa.String(), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("file", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("written_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("next_try_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("says", sa.String(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('received', 'query', 'released', 'ready', 'dispatched', 'late')",
            name=op.f("ck_tellings_kind"),
        ),
        sa.CheckConstraint(
            "standing IN ('due', 'written', 'unsure', 'sent', 'failed', 'withdrawn')",
            name=op.f("ck_tellings_standing"),
        ),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_tellings_order_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tellings")),
        sa.UniqueConstraint("order_id", "kind", "about", name=op.f("uq_tellings_order_id_kind_about")),
    )
    op.create_index(op.f("ix_tellings_standing_due_at"), "tellings", ["standing", "due_at"])
