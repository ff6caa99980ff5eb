"""The first tables, and the triggers that keep the log append-only."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import append_only

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# Nothing of these is ever changed or taken away, whoever asks; table -> what marks a row.
APPEND_ONLY = {
    "event": "id = NEW.id OR (opening = NEW.opening AND device = NEW.device AND n = NEW.n)",
    "procedure": "id = NEW.id AND version = NEW.version",
}


def text(name: str, *constraints: sa.schema.SchemaItem, primary_key: bool = False) -> sa.Column:
    return sa.Column(name, sa.String(), *constraints, primary_key=primary_key, nullable=False)


def number(name: str, primary_key: bool = False) -> sa.Column:
    return sa.Column(name, sa.Integer(), primary_key=primary_key, nullable=False)


def upgrade() -> None:
    make_people()
    make_work()
    make_log()
    for table, same in APPEND_ONLY.items():
        append_only(table, same)


def make_people() -> None:
    op.create_table(
        "person",
        text("id", primary_key=True),
        text("name"),
        text("role"),
        text("login"),
        text("password"),
        text("units"),
        text("lang"),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        sa.UniqueConstraint("login"),
    )
    op.create_table(
        "session",
        text("token_hash", primary_key=True),
        text("person", sa.ForeignKey("person.id")),
        number("began"),
        number("used"),
    )
    op.create_index("ix_session_person", "session", ["person"])


def make_work() -> None:
    op.create_table(
        "job", text("id", primary_key=True), text("title"), text("address"), text("homeowner")
    )
    op.create_table(
        "opening",
        text("id", primary_key=True),
        text("job", sa.ForeignKey("job.id")),
        text("letter"),
        text("room"),
    )
    op.create_index("ix_opening_job", "opening", ["job"])
    op.create_table(
        "assigned",
        text("opening", sa.ForeignKey("opening.id"), primary_key=True),
        text("person", sa.ForeignKey("person.id"), primary_key=True),
    )
    op.create_index("ix_assigned_person", "assigned", ["person"])


def make_log() -> None:
    op.create_table(
        "procedure",
        text("id", primary_key=True),
        number("version", primary_key=True),
        text("digest"),
        text("text"),
    )
    op.create_table(
        "event",
        text("id", primary_key=True),
        text("opening"),
        text("device"),
        number("n"),
        text("prev"),
        text("hash"),
        number("turn"),
        text("kind"),
        text("body"),
        text("received_at"),
        sa.UniqueConstraint("opening", "device", "n"),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
    )
    op.create_table("setting", text("name", primary_key=True), text("value"))
