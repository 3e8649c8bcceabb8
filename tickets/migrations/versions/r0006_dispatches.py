"""Dispatches with their packing slips, parcels, and the ready shelf."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables of dispatch; what left before has no slip, and none is made up for it."""
    _make_dispatches()
    _make_parcels()
    op.create_table(
        "sscc_serials",
        sa.Column("prefix", sa.String(), nullable=False),
        sa.Column("next_serial", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("prefix", name=op.f("pk_sscc_serials")),
    )
    op.create_table(
        "shelves",
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_shelves_order_id")),
        sa.PrimaryKeyConstraint("order_id", name=op.f("pk_shelves")),
    )


def _make_dispatches() -> None:
    op.create_table(
        "dispatches",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("counts", sa.JSON(), nullable=False),
        sa.Column("collected_by", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("open_until", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("is_papered", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_dispatches_order_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_dispatches")),
        sa.UniqueConstraint("order_id", "number", name=op.f("uq_dispatches_order_id_number")),
    )
    op.create_index(
        "ix_dispatches_unpapered",
        "dispatches",
        ["id"],
        sqlite_where=sa.column("is_papered").is_(sa.false()),
        postgresql_where=sa.column("is_papered").is_(sa.false()),
    )
    op.create_table(
        "dispatch_scans",
        sa.Column("scan_id", sa.Integer(), nullable=False),
        sa.Column("dispatch_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["dispatch_id"], ["dispatches.id"], name=op.f("fk_dispatch_scans_dispatch_id")
        ),
        sa.ForeignKeyConstraint(["scan_id"], ["scans.id"], name=op.f("fk_dispatch_scans_scan_id")),
        sa.PrimaryKeyConstraint("scan_id", name=op.f("pk_dispatch_scans")),
    )
    op.create_index(op.f("ix_dispatch_scans_dispatch_id"), "dispatch_scans", ["dispatch_id"])


def _make_parcels() -> None:
    op.create_table(
        "parcels",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("dispatch_id", sa.Integer(), nullable=True),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("weight_g", sa.Integer(), nullable=True),
        sa.Column("consignment", sa.String(), nullable=False),
        sa.Column("sscc", sa.String(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("weight_g > 0", name=op.f("ck_parcels_weight")),
        sa.ForeignKeyConstraint(["dispatch_id"], ["dispatches.id"], name=op.f("fk_parcels_dispatch_id")),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_parcels_order_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_parcels")),
        sa.UniqueConstraint("order_id", "number", name=op.f("uq_parcels_order_id_number")),
    )
    op.create_index(op.f("ix_parcels_dispatch_id"), "parcels", ["dispatch_id"])
    op.create_index(
        "uq_parcels_sscc",
        "parcels",
        ["sscc"],
        unique=True,
        sqlite_where=sa.column("sscc") != "",
        postgresql_where=sa.column("sscc") != "",
    )
