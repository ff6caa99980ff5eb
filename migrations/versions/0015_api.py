"""Tokens of other programs, and what they made by which key."""

import sqlalchemy as sa
from alembic import op

revision = "api"
down_revision = "servers"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "api_token",
        *(
            sa.Column(name, sa.String(), nullable=False)
            for name in ("token_hash", "name", "scope", "person")
        ),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.Column("expires", sa.Integer(), nullable=False),
        sa.Column("ended", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    op.create_table(
        "api_write",
        *(sa.Column(name, sa.String(), nullable=False) for name in ("key", "digest", "made")),
        sa.Column("at", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("key"),
    )
    op.create_index("ix_api_write_at", "api_write", ["at"])
