"""Company and job say which depth their new openings have."""

import sqlalchemy as sa
from alembic import op

revision = "depths"
down_revision = "guard"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for table in ("company", "job"):
        column = sa.Column("depth", sa.String(), nullable=False, server_default=sa.text("''"))
        op.add_column(table, column)
