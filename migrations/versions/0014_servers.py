"""Several servers on one PostgreSQL: numbers from a sequence, tries that all of them count."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import drop_trigger, make_trigger

revision = "servers"
down_revision = "lent"
branch_labels = None
depends_on = None

# What a summary counts by. The other columns of one change with every entry, and change no tally.
FLAGS = ("outs", "queries", "parts", "not_ready", "waiting")
COUNTED = "OLD.state <> NEW.state" + "".join(
    f" OR (OLD.{flag} > 0) <> (NEW.{flag} > 0)" for flag in FLAGS
)
COUNT = (
    "INSERT INTO tally (name, count) VALUES ({name}, {by}) "
    "ON CONFLICT (name) DO UPDATE SET count = tally.count + {by};"
)


def upgrade() -> None:
    op.create_table(
        "slow_down",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("until", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("key"),
    )
    if op.get_bind().dialect.name == "postgresql":
        number_by_sequence()
    count_only_changes()


def number_by_sequence() -> None:
    """Give numbers without waiting for another server's commit: see app/store/postgres.py."""
    op.execute("CREATE SEQUENCE number_given AS BIGINT")
    op.execute(
        "SELECT setval('number_given', 1 + coalesce(max(given), 0), false) FROM"
        " (SELECT max(seq) AS given FROM event UNION ALL SELECT max(since) FROM assigned"
        " UNION ALL SELECT max(since) FROM device_person) AS every"
    )
    drop_trigger("assigned_numbered", "assigned")
    make_trigger(
        "assigned_numbered",
        "AFTER INSERT",
        "assigned",
        "UPDATE assigned SET since = nextval('number_given') "
        "WHERE opening = NEW.opening AND person = NEW.person; "
        "DELETE FROM withdrawn WHERE opening = NEW.opening AND person = NEW.person;",
    )


def count_only_changes() -> None:
    """Leave the tallies alone where a summary counts as before: all writers share their rows."""
    trigger = "summary_counted_update"
    drop_trigger(trigger, "summary")
    counts = count_row("OLD", -1) + " " + count_row("NEW", 1)
    make_trigger(trigger, "AFTER UPDATE", "summary", counts, f"WHEN ({COUNTED})")
    trigger = "otherwise_counted_update"
    drop_trigger(trigger, "summary")
    when = "WHEN ((OLD.otherwise > 0) <> (NEW.otherwise > 0))"
    by = "CASE WHEN NEW.otherwise > 0 THEN 1 ELSE -1 END"
    make_trigger(trigger, "AFTER UPDATE", "summary", COUNT.format(name="'otherwise'", by=by), when)


def count_row(row: str, by: int) -> str:
    """Return the statements that count a row in, or out."""
    counts = [COUNT.format(name=f"'state:' || {row}.state", by=by)]
    counts += [
        COUNT.format(name=f"'{flag}'", by=f"CASE WHEN {row}.{flag} > 0 THEN {by} ELSE 0 END")
        for flag in FLAGS
    ]
    return " ".join(counts)
