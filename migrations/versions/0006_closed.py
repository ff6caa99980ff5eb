"""A job can be closed: cancelled or archived, and why."""

import sqlalchemy as sa
from alembic import op

revision = "closed"
down_revision = "depths"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("closed", "closed_why"):
        column = sa.Column(name, sa.String(), nullable=False, server_default=sa.text("''"))
        op.add_column("job", column)
    op.create_index("ix_job_closed", "job", ["closed"])
