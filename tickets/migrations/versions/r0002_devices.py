"""Devices that were let in to the pages, and the codes that let one in."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_ROLES = "role IN ('station', 'desk', 'owner')"


def upgrade() -> None:
    """Make the two tables of the pages' door."""
    op.create_table(
        "devices",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("paired_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(_ROLES, name=op.f("ck_devices_role")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_devices")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_devices_token_sha256")),
    )
    op.create_table(
        "pairings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code_sha256", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(_ROLES, name=op.f("ck_pairings_role")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pairings")),
        sa.UniqueConstraint("code_sha256", name=op.f("uq_pairings_code_sha256")),
    )
