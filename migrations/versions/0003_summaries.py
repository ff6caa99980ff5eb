"""Summaries for the board, worked out from events, with tallies that triggers keep."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import make_trigger

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

FLAGS = ("outs", "queries", "parts", "not_ready", "waiting")
COUNT = (
    "INSERT INTO tally (name, count) VALUES ({name}, {by}) "
    "ON CONFLICT (name) DO UPDATE SET count = tally.count + {by};"
)


def text(name: str, *constraints: sa.schema.SchemaItem, primary_key: bool = False) -> sa.Column:
    return sa.Column(name, sa.String(), *constraints, primary_key=primary_key, nullable=False)


def number(name: str) -> sa.Column:
    return sa.Column(name, sa.Integer(), nullable=False)


def upgrade() -> None:
    make_summary()
    make_items()
    op.create_table("tally", text("name", primary_key=True), number("count"))
    count("INSERT", added("NEW", 1))
    count("DELETE", added("OLD", -1))
    count("UPDATE", added("OLD", -1) + added("NEW", 1))


def make_summary() -> None:
    words = ("job", "title", "address", "letter", "room", "words", "state")
    numbers = ("signed", "steps", *FLAGS)
    op.create_table(
        "summary",
        text("opening", sa.ForeignKey("opening.id"), primary_key=True),
        *(text(name) for name in words),
        number("place"),
        *(text(name) for name in ("step", "step_title")),
        *(number(name) for name in numbers),
        text("heard"),
        number("seq"),
    )
    urgent = ["place", "heard", "opening"]
    op.create_index("ix_summary_urgent", "summary", urgent)
    op.create_index("ix_summary_heard", "summary", ["heard", "opening"])
    op.create_index("ix_summary_title", "summary", ["title", "letter", "opening"])
    op.create_index("ix_summary_job", "summary", ["job", "letter", "opening"])
    for flag in FLAGS:
        where = sa.text(f"{flag} > 0")
        op.create_index(
            f"ix_summary_{flag}", "summary", urgent, sqlite_where=where, postgresql_where=where
        )


def make_items() -> None:
    op.create_table(
        "open_item",
        text("id", primary_key=True),
        text("opening", sa.ForeignKey("opening.id")),
        *(
            text(n)
            for n in ("kind", "ref", "step", "what", "said", "choice", "name", "person", "at")
        ),
    )
    op.create_index("ix_open_item_opening", "open_item", ["opening"])
    op.create_index("ix_open_item_kind", "open_item", ["kind", "at", "id"])


def added(row: str, by: int) -> str:
    """Return the statements that count a row in, or out: by its state, and by each flag it has."""
    counts = [COUNT.format(name=f"'state:' || {row}.state", by=by)]
    counts += [
        COUNT.format(name=f"'{flag}'", by=f"CASE WHEN {row}.{flag} > 0 THEN {by} ELSE 0 END")
        for flag in FLAGS
    ]
    return " ".join(counts)


def count(verb: str, statements: str) -> None:
    make_trigger(f"summary_counted_{verb.lower()}", f"AFTER {verb}", "summary", statements)
