"""The words that the board is searched by, in a table of their own and in the orders' indexes."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

ORDERS = (
    ("ix_summary_urgent", ["place", "heard", "opening"]),
    ("ix_summary_heard", ["heard", "opening"]),
    ("ix_summary_title", ["title", "letter", "opening"]),
)


def text(name: str, *constraints: sa.schema.SchemaItem) -> sa.Column:
    return sa.Column(name, sa.String(), *constraints, primary_key=True, nullable=False)


def upgrade() -> None:
    # filled at the start after this, when all summaries are made anew
    op.create_table(
        "search_word",
        text("word"),
        text("opening", sa.ForeignKey("opening.id")),
        sqlite_with_rowid=False,
    )
    # lines of before may be longer than an index takes
    op.execute("UPDATE summary SET words = ''")
    for name, columns in ORDERS:
        op.drop_index(name, "summary")
        op.create_index(name, "summary", [*columns, "words"])
