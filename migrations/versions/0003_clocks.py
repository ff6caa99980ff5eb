"""A summary says which clock an opening waits for, and until when."""

import sqlalchemy as sa
from alembic import op

revision = "clocks"
down_revision = "otherwise"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("clock", "until"):
        column = sa.Column(name, sa.String(), nullable=False, server_default=sa.text("''"))
        op.add_column("summary", column)
