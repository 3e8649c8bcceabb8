"""The first tables of the books: orders, items, tickets, lots, scans, events, arrivals, and the search."""

import sqlalchemy as sa
from alembic import op

from tickets.search import create_search

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make every table of the first version."""
    _orders()
    _items()
    _revisions()
    _remembered_releases()
    _tickets()
    _lots()
    _scans()
    _movements()
    _scan_keys()
    _events()
    _search_words()
    _originals()
    _arrivals()
    _heartbeats()
    create_search(op.get_bind())


def _orders() -> None:
    op.create_table(
        "orders",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("customer_name", sa.String(), nullable=False),
        sa.Column("customer_email", sa.String(), nullable=False),
        sa.Column("customer_phone", sa.String(), nullable=False),
        sa.Column("phone_digits", sa.String(), nullable=False),
        sa.Column("purchase_order", sa.String(), nullable=False),
        sa.Column("due", sa.String(), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("service", sa.String(), nullable=False),
        sa.Column("allow_part_dispatch", sa.Boolean(), nullable=False),
        sa.Column("rush", sa.Boolean(), nullable=False),
        sa.Column("held_why", sa.String(), nullable=True),
        sa.Column("document", sa.String(), nullable=False),
        sa.Column("document_sha256", sa.String(), nullable=False),
        sa.Column("source_folder", sa.String(), nullable=False),
        sa.Column("search_text", sa.String(), nullable=False),
        sa.Column("taken_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_orders")),
        sa.UniqueConstraint("number", name=op.f("uq_orders_number")),
    )
    op.create_index(op.f("ix_orders_closed_at"), "orders", ["closed_at"])
    op.create_index(op.f("ix_orders_due_at"), "orders", ["due_at"])
    op.create_index(op.f("ix_orders_phone_digits"), "orders", ["phone_digits"])


def _items() -> None:
    op.create_table(
        "items",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("artwork", sa.String(), nullable=False),
        sa.Column("artwork_sha256", sa.String(), nullable=False),
        sa.Column("page", sa.Integer(), nullable=True),
        sa.Column("ordered_width_mm", sa.Float(), nullable=True),
        sa.Column("ordered_height_mm", sa.Float(), nullable=True),
        sa.Column("print_width_mm", sa.Float(), nullable=True),
        sa.Column("print_height_mm", sa.Float(), nullable=True),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("service", sa.String(), nullable=False),
        sa.Column("placement", sa.String(), nullable=False),
        sa.Column("garment", sa.String(), nullable=False),
        sa.Column("garment_colour", sa.String(), nullable=False),
        sa.Column("fabric", sa.String(), nullable=False),
        sa.Column("sizes", sa.JSON(), nullable=False),
        sa.Column("garment_set", sa.String(), nullable=False),
        sa.Column("film", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("mirrored", sa.Boolean(), nullable=False),
        sa.Column("may_turn", sa.Boolean(), nullable=False),
        sa.Column("standing", sa.String(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("reported_revision", sa.Integer(), nullable=False),
        sa.Column("order_queries", sa.JSON(), nullable=False),
        sa.Column("findings", sa.JSON(), nullable=False),
        sa.Column("measures", sa.JSON(), nullable=False),
        sa.Column("refused_slug", sa.String(), nullable=False),
        sa.Column("released_by", sa.String(), nullable=False),
        sa.Column("released_note", sa.String(), nullable=False),
        sa.CheckConstraint(
            "standing IN ('unchecked', 'queried', 'accepted', 'refused')", name=op.f("ck_items_standing")
        ),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_items_quantity")),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_items_order_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_items")),
        sa.UniqueConstraint("order_id", "number", name=op.f("uq_items_order_id_number")),
    )
    op.create_index(op.f("ix_items_artwork_sha256"), "items", ["artwork_sha256"])
    op.create_index(op.f("ix_items_standing"), "items", ["standing"])


def _revisions() -> None:
    op.create_table(
        "revisions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("artwork", sa.String(), nullable=False),
        sa.Column("artwork_sha256", sa.String(), nullable=False),
        sa.Column("verdict", sa.String(), nullable=False),
        sa.Column("findings", sa.JSON(), nullable=False),
        sa.Column("measures", sa.JSON(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_revisions_item_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_revisions")),
        sa.UniqueConstraint("item_id", "number", name=op.f("uq_revisions_item_id_number")),
    )


def _remembered_releases() -> None:
    op.create_table(
        "remembered_releases",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("artwork_sha256", sa.String(), nullable=False),
        sa.Column("page", sa.Integer(), nullable=False),
        sa.Column("print_width_mm", sa.Float(), nullable=False),
        sa.Column("garment_colour", sa.String(), nullable=False),
        sa.Column("checks", sa.JSON(), nullable=False),
        sa.Column("released_by", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_remembered_releases")),
        sa.UniqueConstraint(
            "artwork_sha256",
            "page",
            "print_width_mm",
            "garment_colour",
            name="uq_remembered_releases_same_art",
        ),
    )


def _tickets() -> None:
    op.create_table(
        "tickets",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("reprint_of_id", sa.Integer(), nullable=True),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("held_why", sa.String(), nullable=True),
        sa.Column("rush", sa.Boolean(), nullable=False),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        sa.Column("papered_revision", sa.Integer(), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_tickets_quantity")),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_tickets_item_id")),
        sa.ForeignKeyConstraint(["reprint_of_id"], ["tickets.id"], name=op.f("fk_tickets_reprint_of_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tickets")),
        sa.UniqueConstraint("code", name=op.f("uq_tickets_code")),
    )
    op.create_index(op.f("ix_tickets_item_id"), "tickets", ["item_id"])
    op.create_index(op.f("ix_tickets_reprint_of_id"), "tickets", ["reprint_of_id"])
    op.create_index(
        "uq_tickets_first_of_item",
        "tickets",
        ["item_id"],
        unique=True,
        sqlite_where=sa.text("reprint_of_id IS NULL"),
        postgresql_where=sa.text("reprint_of_id IS NULL"),
    )


def _lots() -> None:
    op.create_table(
        "lots",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("ticket_id", sa.Integer(), nullable=False),
        sa.Column("run", sa.String(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_lots_count")),
        sa.ForeignKeyConstraint(["ticket_id"], ["tickets.id"], name=op.f("fk_lots_ticket_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lots")),
        sa.UniqueConstraint("ticket_id", "run", "place", name=op.f("uq_lots_ticket_id_run_place")),
    )
    op.create_index(op.f("ix_lots_place_ticket_id"), "lots", ["place", "ticket_id"])
    op.create_index(
        "ix_lots_run",
        "lots",
        ["run"],
        sqlite_where=sa.text("run != ''"),
        postgresql_where=sa.text("run != ''"),
    )


def _scans() -> None:
    op.create_table(
        "scans",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=True),
        sa.Column("station", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("undoes_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("device_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("device_sequence", sa.Integer(), nullable=True),
        sa.CheckConstraint("kind IN ('issue', 'scan', 'undo', 'cancel', 'run')", name=op.f("ck_scans_kind")),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_scans_order_id")),
        sa.ForeignKeyConstraint(["undoes_id"], ["scans.id"], name=op.f("fk_scans_undoes_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scans")),
        sa.UniqueConstraint("undoes_id", name=op.f("uq_scans_undoes_id")),
    )
    op.create_index(op.f("ix_scans_at"), "scans", ["at"])
    op.create_index(op.f("ix_scans_order_id"), "scans", ["order_id"])


def _movements() -> None:
    op.create_table(
        "movements",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("scan_id", sa.Integer(), nullable=False),
        sa.Column("ticket_id", sa.Integer(), nullable=False),
        sa.Column("from_place", sa.String(), nullable=False),
        sa.Column("from_run", sa.String(), nullable=False),
        sa.Column("to_place", sa.String(), nullable=False),
        sa.Column("to_run", sa.String(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("inferred", sa.Boolean(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_movements_count")),
        sa.CheckConstraint("from_place <> to_place OR from_run <> to_run", name=op.f("ck_movements_moves")),
        sa.ForeignKeyConstraint(["scan_id"], ["scans.id"], name=op.f("fk_movements_scan_id")),
        sa.ForeignKeyConstraint(["ticket_id"], ["tickets.id"], name=op.f("fk_movements_ticket_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_movements")),
    )
    op.create_index(op.f("ix_movements_scan_id"), "movements", ["scan_id"])
    op.create_index(op.f("ix_movements_ticket_id"), "movements", ["ticket_id"])


def _scan_keys() -> None:
    op.create_table(
        "scan_keys",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("asked_sha256", sa.String(), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_scan_keys")),
    )


def _events() -> None:
    op.create_table(
        "events",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=True),
        sa.Column("item_id", sa.Integer(), nullable=True),
        sa.Column("ticket_id", sa.Integer(), nullable=True),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("payload", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_events_item_id")),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_events_order_id")),
        sa.ForeignKeyConstraint(["ticket_id"], ["tickets.id"], name=op.f("fk_events_ticket_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_events")),
    )
    op.create_index(op.f("ix_events_order_id_id"), "events", ["order_id", "id"])
    op.create_index(op.f("ix_events_ticket_id"), "events", ["ticket_id"])


def _search_words() -> None:
    op.create_table(
        "search_words",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("word", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_search_words")),
        sa.UniqueConstraint("word", name=op.f("uq_search_words_word")),
    )


def _originals() -> None:
    op.create_table(
        "originals",
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("stored_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_originals")),
    )


def _arrivals() -> None:
    op.create_table(
        "arrivals",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("path_bytes", sa.LargeBinary(), nullable=False),
        sa.Column("path_key", sa.String(), nullable=False),
        sa.Column("path", sa.String(), nullable=False),
        sa.Column("folder", sa.String(), nullable=False),
        sa.Column("name_folded", sa.String(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("fingerprint", sa.String(), nullable=False),
        sa.Column("standing", sa.String(), nullable=False),
        sa.Column("is_open", sa.Boolean(), nullable=False),
        sa.Column("is_cleared", sa.Boolean(), nullable=False),
        sa.Column("order_number", sa.String(), nullable=False),
        sa.Column("slug", sa.String(), nullable=False),
        sa.Column("says", sa.String(), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "standing IN ('settling', 'waiting', 'taken', 'duplicate', 'conflict', 'refused', 'ignored')",
            name=op.f("ck_arrivals_standing"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_arrivals")),
    )
    op.create_index(op.f("ix_arrivals_changed_at"), "arrivals", ["changed_at"])
    op.create_index(op.f("ix_arrivals_name_folded_standing"), "arrivals", ["name_folded", "standing"])
    op.create_index(op.f("ix_arrivals_path_key"), "arrivals", ["path_key"])
    op.create_index(op.f("ix_arrivals_sha256"), "arrivals", ["sha256"])
    op.create_index(
        "uq_arrivals_open_path",
        "arrivals",
        ["path_key"],
        unique=True,
        sqlite_where=sa.text("is_open IS 1"),
        postgresql_where=sa.text("is_open IS true"),
    )


def _heartbeats() -> None:
    op.create_table(
        "heartbeats",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("says", sa.String(), nullable=False),
        sa.Column("holder", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_heartbeats")),
    )
