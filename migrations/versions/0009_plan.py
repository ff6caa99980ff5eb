"""Crews with their members by day, what is planned of an opening, and links to calendars."""

import sqlalchemy as sa
from alembic import op

revision = "plan"
down_revision = "secrets"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "crew",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("ended", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "crew_setup",
        sa.Column("crew", sa.String(), nullable=False),
        sa.Column("first", sa.String(), nullable=False),
        sa.Column("people", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["crew"], ["crew.id"]),
        sa.PrimaryKeyConstraint("crew", "first"),
    )
    op.create_table(
        "calendar_link",
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("crew", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.Column("ended", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    op.create_index("ix_calendar_link_crew", "calendar_link", ["crew"])
    for name in ("first_day", "last_day", "promised", "due", "crew", "begun", "heaviest"):
        column = sa.Column(name, sa.String(), nullable=False, server_default=sa.text("''"))
        op.add_column("summary", column)
    op.create_index("ix_summary_crew", "summary", ["crew"])
    for name in ("last_day", "due", "until"):
        where = sa.text(f"{name} <> ''")
        index = f"ix_summary_{name}"
        op.create_index(
            index, "summary", [name, "opening"], sqlite_where=where, postgresql_where=where
        )
