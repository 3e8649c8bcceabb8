"""Film runs, where each piece lies on them, wishes about tickets, and answers on sizes."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables of film runs."""
    _make_runs()
    _make_pieces()
    _make_wishes_and_answers()


def _make_runs() -> None:
    op.create_table(
        "film_runs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("standing", sa.String(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("film", sa.String(), nullable=False),
        sa.Column("width_mm", sa.Float(), nullable=False),
        sa.Column("length_mm", sa.Float(), nullable=False),
        sa.Column("way", sa.String(), nullable=False),
        sa.Column("is_straight_cut", sa.Boolean(), nullable=False),
        sa.Column("inked_share", sa.Float(), nullable=False),
        sa.Column("cutting_minutes", sa.Float(), nullable=False),
        sa.Column("pinned", sa.Boolean(), nullable=False),
        sa.Column("planned_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("released_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("released_by", sa.String(), nullable=False),
        sa.Column("printed_in", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "standing IN ('planned', 'released', 'printed', 'dropped')", name=op.f("ck_film_runs_standing")
        ),
        sa.CheckConstraint("length_mm > 0 AND width_mm > 0", name=op.f("ck_film_runs_size")),
        sa.ForeignKeyConstraint(["printed_in"], ["scans.id"], name=op.f("fk_film_runs_printed_in")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_film_runs")),
        sa.UniqueConstraint("code", name=op.f("uq_film_runs_code")),
    )
    op.create_index(op.f("ix_film_runs_standing"), "film_runs", ["standing"])


def _make_pieces() -> None:
    op.create_table(
        "film_pieces",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("ticket_id", sa.Integer(), nullable=False),
        sa.Column("x_mm", sa.Float(), nullable=False),
        sa.Column("y_mm", sa.Float(), nullable=False),
        sa.Column("width_mm", sa.Float(), nullable=False),
        sa.Column("height_mm", sa.Float(), nullable=False),
        sa.Column("turned", sa.Boolean(), nullable=False),
        sa.Column("spare", sa.Boolean(), nullable=False),
        sa.Column("lost_in", sa.Integer(), nullable=True),
        sa.Column("used_in", sa.Integer(), nullable=True),
        sa.CheckConstraint("width_mm > 0 AND height_mm > 0", name=op.f("ck_film_pieces_size")),
        sa.ForeignKeyConstraint(["run_id"], ["film_runs.id"], name=op.f("fk_film_pieces_run_id")),
        sa.ForeignKeyConstraint(["ticket_id"], ["tickets.id"], name=op.f("fk_film_pieces_ticket_id")),
        sa.ForeignKeyConstraint(["lost_in"], ["scans.id"], name=op.f("fk_film_pieces_lost_in")),
        sa.ForeignKeyConstraint(["used_in"], ["scans.id"], name=op.f("fk_film_pieces_used_in")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_film_pieces")),
        sa.UniqueConstraint("run_id", "number", name=op.f("uq_film_pieces_run_id_number")),
    )
    op.create_index(op.f("ix_film_pieces_ticket_id"), "film_pieces", ["ticket_id"])


def _make_wishes_and_answers() -> None:
    op.create_table(
        "film_wishes",
        sa.Column("ticket_id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["run_id"], ["film_runs.id"], name=op.f("fk_film_wishes_run_id")),
        sa.ForeignKeyConstraint(["ticket_id"], ["tickets.id"], name=op.f("fk_film_wishes_ticket_id")),
        sa.PrimaryKeyConstraint("ticket_id", name=op.f("pk_film_wishes")),
    )
    op.create_table(
        "size_answers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("artwork_sha256", sa.String(), nullable=False),
        sa.Column("page", sa.Integer(), nullable=False),
        sa.Column("print_width_mm", sa.Float(), nullable=False),
        sa.Column("is_yes", sa.Boolean(), nullable=False),
        sa.Column("width_mm", sa.Float(), nullable=False),
        sa.Column("height_mm", sa.Float(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_size_answers")),
        sa.UniqueConstraint(
            "artwork_sha256",
            "page",
            "print_width_mm",
            name=op.f("uq_size_answers_artwork_sha256_page_print_width_mm"),
        ),
    )
