"""What was set aside and then taken in by the office."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("aside", sa.Column("taken", sa.String(), nullable=False, server_default=""))
