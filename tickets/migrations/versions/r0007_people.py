"""People who sign in at devices, wrong PINs, and the links by which customers see an order's progress."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables; nobody is signed in, and no link works yet."""
    _make_people()
    op.create_table(
        "customer_links",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("word", sa.String(), nullable=False),
        sa.Column("word_sha256", sa.String(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_customer_links_order_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_links")),
        sa.UniqueConstraint("word_sha256", name=op.f("uq_customer_links_word_sha256")),
    )
    _one_open("customer_links", "uq_customer_links_order_id_open", "order_id", "revoked_at")
    op.create_table(
        "sign_ins",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("device_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["device_id"], ["devices.id"], name=op.f("fk_sign_ins_device_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_ins")),
    )
    op.create_index(op.f("ix_sign_ins_device_id_name_key"), "sign_ins", ["device_id", "name_key"])
    _one_open("sign_ins", "uq_sign_ins_device_id_open", "device_id", "ended_at")
    op.create_table(
        "wrong_pins",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("device_id", sa.Integer(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("tries > 0", name=op.f("ck_wrong_pins_tries")),
        sa.ForeignKeyConstraint(["device_id"], ["devices.id"], name=op.f("fk_wrong_pins_device_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_wrong_pins_person_id")),
        sa.PrimaryKeyConstraint("person_id", "device_id", name=op.f("pk_wrong_pins")),
    )


def _make_people() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("pin_hash", sa.String(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
    )
    _one_open("people", "uq_people_name_key_here", "name_key", "removed_at")


def _one_open(table: str, name: str, column: str, ends: str) -> None:
    """Of the rows that have not ended, one for each value."""
    still = sa.text(f"{ends} IS NULL")
    op.create_index(name, table, [column], unique=True, sqlite_where=still, postgresql_where=still)
