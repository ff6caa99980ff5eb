"""The files of procedures, drafts of them, and who put a version in force."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import append_only

revision = "procedure drafts"
down_revision = "erasure"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "procedure_file",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["id", "version"], ["procedure.id", "procedure.version"]),
        sa.PrimaryKeyConstraint("id", "version"),
    )
    append_only("procedure_file", "id = NEW.id AND version = NEW.version")
    op.create_table(
        "procedure_draft",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("base", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("at", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "put_in_force",
        *(sa.Column(name, sa.String(), nullable=False) for name in ("id", "procedure")),
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("version", "before")),
        sa.Column("person", sa.String(), nullable=False),
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("at", "limits")),
        sa.Column("why", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_put_in_force_procedure", "put_in_force", ["procedure"])
    append_only("put_in_force", "id = NEW.id")
