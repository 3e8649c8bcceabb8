"""Stock: what people wrote down about it, and what each scan at the first station printed."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_KINDS = "kind IN ('bought', 'count', 'opened', 'used-up')"
_PRINTED = (
    "film_m",
    "runs",
    "hours",
    "cyan_m2",
    "magenta_m2",
    "yellow_m2",
    "black_m2",
    "white_m2",
    "inked_m2",
)


def upgrade() -> None:
    """Make the two tables of stock."""
    op.create_table(
        "stock_notes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("consumable", sa.String(), nullable=False),
        sa.Column("amount", sa.Float(), nullable=False),
        sa.Column("price_minor", sa.BigInteger(), nullable=True),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.CheckConstraint(_KINDS, name=op.f("ck_stock_notes_kind")),
        sa.CheckConstraint("amount >= 0", name=op.f("ck_stock_notes_amount")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_notes")),
    )
    op.create_index(op.f("ix_stock_notes_consumable_at"), "stock_notes", ["consumable", "at"])
    op.create_table(
        "film_uses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("scan_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("film", sa.String(), nullable=False),
        *(sa.Column(name, sa.Float(), nullable=False) for name in _PRINTED),
        sa.Column("given_back", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["scan_id"], ["scans.id"], name=op.f("fk_film_uses_scan_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_film_uses")),
        sa.UniqueConstraint("scan_id", "film", name=op.f("uq_film_uses_scan_id_film")),
    )
    op.create_index(op.f("ix_film_uses_at"), "film_uses", ["at"])
