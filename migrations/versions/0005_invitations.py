"""Invitations, by which people set their passwords."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "invitation",
        sa.Column("code_hash", sa.String(), primary_key=True),
        sa.Column("person", sa.String(), sa.ForeignKey("person.id"), nullable=False),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.Column("expires", sa.Integer(), nullable=False),
        sa.Column("used", sa.Integer(), nullable=True),
    )
    op.create_index("ix_invitation_person", "invitation", ["person"])
