"""The company's address and its logo."""

import sqlalchemy as sa
from alembic import op

revision = "letterhead"
down_revision = "plan"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("address", "logo"):
        column = sa.Column(name, sa.String(), nullable=False, server_default=sa.text("''"))
        op.add_column("company", column)
