"""Secrets by which an owner gets a new link, or a record is handed on."""

import sqlalchemy as sa
from alembic import op

revision = "secrets"
down_revision = "service"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "link_secret",
        sa.Column("secret_hash", sa.String(), nullable=False),
        sa.Column("opening", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("purpose", sa.String(), nullable=False),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.Column("expires", sa.Integer(), nullable=False),
        sa.Column("used", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("secret_hash"),
    )
