"""A summary says how many steps today's rules would judge otherwise."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import make_trigger

revision = "otherwise"
down_revision = "first"
branch_labels = None
depends_on = None

COUNT = (
    "INSERT INTO tally (name, count) VALUES ('otherwise', {by}) "
    "ON CONFLICT (name) DO UPDATE SET count = tally.count + {by};"
)


def upgrade() -> None:
    column = sa.Column("otherwise", sa.Integer(), nullable=False, server_default=sa.text("0"))
    op.add_column("summary", column)
    op.create_index(
        "ix_summary_otherwise",
        "summary",
        ["place", "heard", "opening"],
        sqlite_where=sa.text("otherwise > 0"),
        postgresql_where=sa.text("otherwise > 0"),
    )
    counts = {
        "INSERT": count_row("NEW", 1),
        "DELETE": count_row("OLD", -1),
        "UPDATE": count_row("OLD", -1) + " " + count_row("NEW", 1),
    }
    for verb, statements in counts.items():
        make_trigger(f"otherwise_counted_{verb.lower()}", f"AFTER {verb}", "summary", statements)


def count_row(row: str, by: int) -> str:
    """Return the statement that counts a row in, or out."""
    return COUNT.format(by=f"CASE WHEN {row}.otherwise > 0 THEN {by} ELSE 0 END")
