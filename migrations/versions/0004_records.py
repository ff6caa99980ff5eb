"""Completion records as issued, append-only, and the links that show them."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import append_only

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def text(name: str, *constraints: sa.schema.SchemaItem, primary_key: bool = False) -> sa.Column:
    return sa.Column(name, sa.String(), *constraints, primary_key=primary_key, nullable=False)


def upgrade() -> None:
    op.create_table(
        "issued",
        text("opening", sa.ForeignKey("opening.id"), primary_key=True),
        sa.Column("revision", sa.Integer(), primary_key=True),
        text("at"),
        text("digest"),
        text("code"),
        text("text"),
    )
    op.create_index("ix_issued_code", "issued", ["code"])
    append_only("issued", "opening = NEW.opening AND revision = NEW.revision")
    op.create_table(
        "link",
        text("token_hash", primary_key=True),
        text("opening", sa.ForeignKey("opening.id")),
        text("person", sa.ForeignKey("person.id")),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.Column("expires", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Integer(), nullable=True),
    )
    op.create_index("ix_link_opening", "link", ["opening"])
