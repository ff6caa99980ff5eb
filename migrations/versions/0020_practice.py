"""Summaries say which openings are to practise on; no tally counts those."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import drop_trigger, make_trigger

revision = "practice"
down_revision = "procedure drafts"
branch_labels = None
depends_on = None

# What a summary counts by: see 0014. One to practise on has no flag, and its state is not counted.
FLAGS = ("outs", "queries", "parts", "not_ready", "waiting")
COUNTED = "OLD.state <> NEW.state OR OLD.practice <> NEW.practice" + "".join(
    f" OR (OLD.{flag} > 0) <> (NEW.{flag} > 0)" for flag in FLAGS
)
COUNT = (
    "INSERT INTO tally (name, count) VALUES ({name}, {by}) "
    "ON CONFLICT (name) DO UPDATE SET count = tally.count + {by};"
)


def upgrade() -> None:
    column = sa.Column("practice", sa.Boolean(), nullable=False, server_default=sa.false())
    op.add_column("summary", column)
    for verb, counts, when in (
        ("INSERT", count_row("NEW", 1), ""),
        ("DELETE", count_row("OLD", -1), ""),
        ("UPDATE", count_row("OLD", -1) + " " + count_row("NEW", 1), f"WHEN ({COUNTED})"),
    ):
        trigger = f"summary_counted_{verb.lower()}"
        drop_trigger(trigger, "summary")
        make_trigger(trigger, f"AFTER {verb}", "summary", counts, when)


def count_row(row: str, by: int) -> str:
    """Return the statements that count a row in, or out."""
    work = f"CASE WHEN {row}.practice THEN 0 ELSE {by} END"
    counts = [COUNT.format(name=f"'state:' || {row}.state", by=work)]
    counts += [
        COUNT.format(name=f"'{flag}'", by=f"CASE WHEN {row}.{flag} > 0 THEN {by} ELSE 0 END")
        for flag in FLAGS
    ]
    return " ".join(counts)
