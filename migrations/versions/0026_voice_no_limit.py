"""A code by voice says no limit: a concession covers the readings that it was given for."""

from alembic import op

revision = "voice_no_limit"
down_revision = "urgent_has_state"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.drop_column("voice", "until")
