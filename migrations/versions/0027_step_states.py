"""Summaries say how each step stands, for the drawing of the door on the board."""

import sqlalchemy as sa
from alembic import op

revision = "step_states"
down_revision = "voice_no_limit"
branch_labels = None
depends_on = None


def upgrade() -> None:
    empty = sa.text("''")
    column = sa.Column("step_states", sa.String(), nullable=False, server_default=empty)
    op.add_column("summary", column)
