"""The index of the most urgent holds the state, so that counts of what shows need no other look."""

from alembic import op

revision = "urgent_has_state"
down_revision = "visit_indexes"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.drop_index("ix_summary_urgent", "summary")
    op.create_index("ix_summary_urgent", "summary", ["place", "heard", "opening", "state", "words"])
