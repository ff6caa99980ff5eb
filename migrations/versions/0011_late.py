"""An index of the entries that came later than they should have."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

LATE = sa.text("flag <> ''")


def upgrade() -> None:
    op.create_index("ix_event_late", "event", ["seq"], sqlite_where=LATE, postgresql_where=LATE)
