"""PostgreSQL's search indexes take new rows in at once, in books of earlier versions too."""

from alembic import op

from tickets.search.schema import index_at_once

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nothing of the books changes; SQLite's indexes have always done so."""
    index_at_once(op.get_bind())
