"""A session whose device is in the owner's hands."""

import sqlalchemy as sa
from alembic import op

revision = "lent"
down_revision = "outbox"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("lent_opening", "lent_lang"):
        column = sa.Column(name, sa.String(), nullable=False, server_default=sa.text("''"))
        op.add_column("session", column)
