"""Service sheets of visits, and complaints of owners."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import append_only

revision = "service"
down_revision = "closed"
branch_labels = None
depends_on = None


def _text(name: str, default: str | None = None) -> sa.Column[str]:
    given = None if default is None else sa.text(f"'{default}'")
    return sa.Column(name, sa.String(), nullable=False, server_default=given)


def upgrade() -> None:
    op.create_table(
        "service_sheet",
        _text("opening"),
        sa.Column("revision", sa.Integer(), nullable=False),
        _text("visit"),
        _text("at"),
        _text("digest"),
        _text("code"),
        _text("text"),
        _text("signature"),
        _text("key"),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("opening", "revision"),
    )
    op.create_index(op.f("ix_service_sheet_code"), "service_sheet", ["code"])
    append_only("service_sheet", "opening = NEW.opening AND revision = NEW.revision")
    op.create_table(
        "callback",
        _text("id"),
        _text("opening"),
        sa.Column("at", sa.Integer(), nullable=False),
        _text("words"),
        _text("photo"),
        _text("person"),
        sa.Column("taken", sa.Integer(), nullable=True),
        _text("closed"),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index(op.f("ix_callback_opening"), "callback", ["opening"])
