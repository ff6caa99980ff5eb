"""The entries that begin and sign service visits are found without looking through the log."""

import sqlalchemy as sa
from alembic import op

revision = "visit_indexes"
down_revision = "shop_pages"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for kind in ("visit.begun", "visit.signed"):
        chosen = sa.text(f"kind = '{kind}'")
        name = f"ix_event_{kind.replace('.', '_')}"
        op.create_index(name, "event", ["seq"], sqlite_where=chosen, postgresql_where=chosen)
